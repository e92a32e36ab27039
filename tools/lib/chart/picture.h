/*
 * picture.h - a picture of one or more tables: as SVG for pages and paper, or in the cells of a terminal.
 *
 * A kind of picture answers one question, and says which columns it needs. The tables are those that the
 * filters fill (table.h), or those that were read back from a file (table_load.h): a column that holds text is
 * read as a number where a number is needed. A table is recognised by its columns. Neither the order of the
 * tables nor that of their columns matters, and tables and columns that are not needed are ignored.
 *
 * The SVG is one element <svg> that needs nothing else. It has a title (the finding), a description (the alternative
 * text), its own styles for light, dark and print, and no script. Texts are texts. The same tables give the
 * same bytes. No label lies over another or leaves the picture; a label that finds no place is shortened or left out.
 *
 *	const struct table *t[] = { &curve, &charges };
 *	struct picture_style style = { .medium = PICTURE_SVG, .width = 720, .ids = "k1" };
 *
 *	if (!picture_draw(PICTURE_DRYING, t, 2, &style, &svg, &sentence, &error))
 *		... `error` says which column is missing and which command prints it
 */
#ifndef WITHY_PICTURE_H
#define WITHY_PICTURE_H

#include <stdbool.h>
#include <stddef.h>

struct buf;
struct table;

enum picture_kind {
	PICTURE_DRYING,    /* how a charge dries: wy-dry --curve, and wy-dry for the forecast */
	PICTURE_ORDERS,    /* whether the stock is enough: wy-stock --orders and wy-stock --by form,type,grade */
	PICTURE_STORE,     /* whether a store kept its air: wy-air --by place,day, --timed, --outlook; wy-moist --by place,day */
	PICTURE_STEPS,     /* where pieces were lost from tree to bat: wy-yield, wy-yield --losses */
	PICTURE_GRADES,    /* what wood gives which grades: wy-grade --by supplier or month */
	PICTURE_ENDS,      /* how evenly charges end: wy-dry --all */
	PICTURE_WEIGHTS,   /* what bats weigh: wy-weigh --histogram, and wy-stock --orders for the ranges */
	PICTURE_AGES,      /* how old the stock is: wy-stock --by age,form --value */
	PICTURE_READINGS,  /* which days were read: wy-air --by place,day, --gaps, --spells */
	PICTURE_ORIGIN,    /* what one bat is made of: wy-trace ID */
	PICTURE_COST,      /* where a blade's cost comes from: wy-cost */
	PICTURE_FORECASTS, /* what forecasts said and what happened: wy-dry --score --each */
	PICTURE_KINDS
};

/* The words of the kinds, in the order of the enum; NULL at the end. */
extern const char *const picture_words[];

/* The question of a kind: "how a charge dries". */
const char *picture_question(enum picture_kind kind);

/* A command whose output it draws: "wy-dry -b --curve --charge ID". */
const char *picture_command(enum picture_kind kind);

enum picture_medium { PICTURE_SVG, PICTURE_CELLS, PICTURE_ASCII };

/* A width outside these bounds counts as the nearest. */
enum { PICTURE_PX_LEAST = 320, PICTURE_PX_MOST = 1600, PICTURE_CELLS_LEAST = 40, PICTURE_CELLS_MOST = 400 };

struct picture_style {
	enum picture_medium medium;
	unsigned width;    /* of SVG in px: 360 for a phone, 720 for a page; else in cells */
	const char *ids;   /* of SVG: the start of every id in it, a letter first; it must be unique in a page. NULL: "wy" */
	bool untitled;     /* the finding is in <title> alone: the page prints it */
	bool unstyled;     /* without <style>: the page has picture_css() once */
};

/*
 * Adds the picture to `out`, and the finding as a sentence to `sentence`. False when a column is missing or the tables
 * have nothing to draw. Then only `error` is added to: one sentence, which names the column and a command that
 * prints such a table, or says what is not there.
 */
bool picture_draw(enum picture_kind kind, const struct table *const *tables, size_t n, const struct picture_style *style,
	struct buf *out, struct buf *sentence, struct buf *error);

/*
 * Adds the styles of every picture. A page may set the custom properties --wy-ink, --wy-paper and so on (palette.h)
 * to colours of its own.
 */
void picture_css(struct buf *out);

#endif
