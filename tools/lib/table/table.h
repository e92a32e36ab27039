/*
 * table.h - the table that every answer is, and the forms in which it is printed.
 *
 * A table has columns, named in snake_case with the unit at the end (`mc_mean_pct`), and rows
 * that are filled cell by cell from the left; the last column's cell completes the row. The
 * table copies what it is given: nothing passed in must outlive the call. All cells are in one
 * growing array and all texts in one growing buffer. So the number of allocations does not
 * follow the number of cells. Nothing follows the locale.
 *
 * Full figures go out in tsv, csv and json: a fixed-point number exactly as it is, a real one in
 * the fewest digits that read back as the same number (number_text.h). text, md and html round to the
 * column's places, half to even. A real that is not finite is an absent cell. A zero never
 * has a minus sign.
 *
 *            absent  numbers   texts
 *   text     -       right     aligned by cells of the terminal; made visible (utf8_add_visible)
 *   tsv      empty   as is     made visible, and a backslash is \\ : so every text reads back
 *   csv      empty   as is     RFC 4180, lines end in CR LF, quoted where need be; line ends are
 *                              kept, other controls made visible; a text (never a number) that a
 *                              spreadsheet would take for a formula gets a ' first: one that starts
 *                              with = + - @, their full-width forms, a line end or a tab
 *   json     null    numbers   RFC 8259: an array of objects, a row a line; controls and the like
 *                              as \u001b; bytes that are not valid UTF-8 become U+FFFD
 *   md       empty   right     made visible; markup is escaped
 *   html     empty   class num made visible; escaped; a complete fragment
 *
 * text, md and html are for reading. They show the columns that have a heading (all, where none has
 * one, and with style.all_columns), under that heading, and begin with the finding: the answer in a
 * sentence. In text a heading takes as many lines as its column's width asks for, and a last column
 * of words is wrapped. A text that is still wider than the style's width is cut between columns into
 * parts, one below another with a blank line between. Each part begins with the leading columns of
 * words that distinguish the rows, as far as they leave half of the width.
 *
 * A title is above the table in text and md, and a caption in html. Of several tables one after another
 * (tables_write) tsv and csv put a line `# title` above each, with a blank line before it but for
 * the first, and json is one object whose members are the arrays, named by the tables' keys. Notes
 * go below the table in text, md and html, and nowhere else, so that sort and join meet only rows.
 */
#ifndef WITHY_TABLE_H
#define WITHY_TABLE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

enum table_form { TABLE_AS_TEXT, TABLE_AS_TSV, TABLE_AS_CSV, TABLE_AS_JSON, TABLE_AS_MD, TABLE_AS_HTML };

/* The words of --as, in the order of enum table_form; NULL at the end. */
extern const char *const table_form_words[];

/* What a column holds. Columns of numbers are aligned to the right. */
enum table_type {
	TABLE_TEXT,
	TABLE_DATE,  /* text of the form YYYY-MM-DD, with or without a time */
	TABLE_INT,
	TABLE_FIXED, /* an exact decimal: an int64 and a number of places */
	TABLE_REAL,
};

/*
 * Added to places. TABLE_DOWN: rounded down for reading, so that an assured value is never shown as more.
 * TABLE_PERCENT, of a REAL: a proportion, which is shown for reading in per cent with that many places; the
 * heading says so ("yield, %"), and ", %" is added to a name that is shown in its place.
 */
enum { TABLE_EXACT = 255, TABLE_DOWN = 64, TABLE_PERCENT = 128 };

struct table_column {
	const char *name;
	enum table_type type;
	unsigned char places; /* of text, md and html; TABLE_EXACT: all there are. Only FIXED and REAL */
	const char *heading;  /* in words, with the unit: "dries to, %"; NULL: not among the columns for reading */
};

/*
 * A table of a page (page.h): the first column heads its row, and a text may be a link. `to` adds where a text leads, as the
 * value of an attribute, or nothing.
 */
struct table_links {
	void (*to)(const void *context, const char *column, struct slice text, struct buf *out);
	const void *context;
};

struct table_style {
	enum table_form form;
	bool no_header;         /* leaves out the header row of text, tsv, csv and html */
	unsigned width;         /* of text: cells that a line may have; 0: as many as it takes */
	bool all_columns;       /* text, md and html: also the columns without a heading */
	bool fit;               /* text: of a table without headings, from the left the columns with values that fit the width */
	const char *const *columns; /* the names of those to show, in this order; none: as above */
	size_t n_columns;
	const struct table_links *links; /* of html: a table of a page; or NULL */
};

struct table_cell {
	unsigned char kind;   /* an enum table_type, or none of them: absent */
	unsigned char places; /* of a fixed-point number */
	unsigned char shown;  /* places when rounded for reading, TABLE_DOWN added or not */
	size_t n;             /* bytes of a text */
	union {
		size_t at; /* of a text, in `texts` */
		int64_t i;
		double d;
	} v;
};

struct table {
	struct table_column *columns; /* their names are the table's */
	size_t n_columns, columns_cap;
	struct table_cell *cells; /* row by row */
	size_t n_cells, cells_cap;
	struct buf texts, title, key, finding, notes;
	bool written; /* whether rows were flushed before those now held */
};

/* An empty table with these columns; more can be added until the first cell is put. */
void table_init(struct table *t, const struct table_column *columns, size_t n);
void table_add_column(struct table *t, const char *name, enum table_type type, unsigned places);
void table_heading(struct table *t, const char *heading); /* of the last column; NULL for none */
void table_release(struct table *t);

/* Whether one of the columns has that name. */
bool table_has_column(const struct table *t, const char *name);

/*
 * Sets the title above the table (empty: none). `key` is the snake_case name of the table among
 * several tables in json.
 */
void table_title(struct table *t, struct slice title, const char *key);

/* Adds a sentence to the finding, which says for the reader what the rows come to. */
void table_finding(struct table *t, struct slice sentence);

/* Adds a note: one sentence for the reader, such as "EMC is good to 1 point either way". */
void table_note(struct table *t, struct slice note);

/*
 * The next cell. Its kind should be its column's; a number in a text column is still a number.
 * table_absent() leaves the cell out; table_rest_absent() those up to the end of the row.
 * table_fixed(t, 12345, 2) is 123.45; places up to 18 (NUMBER_TEXT_MOST_PLACES).
 */
void table_text(struct table *t, struct slice s);
void table_cstr(struct table *t, const char *s); /* NULL is absent */
void table_date(struct table *t, struct slice s);
void table_int(struct table *t, int64_t v);
void table_fixed(struct table *t, int64_t v, unsigned places);
void table_real(struct table *t, double v);
void table_real_shown(struct table *t, double v, unsigned shown); /* rounds to `shown` places instead */
void table_absent(struct table *t);
void table_rest_absent(struct table *t);

/* How many rows are complete (those flushed not counted). */
size_t table_rows(const struct table *t);

/*
 * Writes the whole table to `out`: title, header row (also without rows), rows, notes. The
 * cells that the last row lacks are absent. The table is not changed.
 */
void table_write(const struct table *t, struct table_style style, struct buf *out);

/*
 * Several tables one after another, as described above; each has a title and a key. A table that has
 * none of the style's columns is left out.
 */
void tables_write(const struct table *const *tables, size_t n, struct table_style style, struct buf *out);

/*
 * The same in pieces, for more rows than should be held: table_begin(), any number of
 * table_flush(), each writing the rows held and forgetting them, and table_end(). As text (whose
 * widths need every row) and in the midst of a row table_flush() does nothing; table_end() writes
 * what is left.
 */
void table_begin(struct table *t, struct table_style style, struct buf *out);
void table_flush(struct table *t, struct table_style style, struct buf *out);
void table_end(struct table *t, struct table_style style, struct buf *out);

#endif
