/*
 * tidy.h - the canonical form of a line, and the order in which the lines of a book are best read.
 *
 * A line in canonical form has one layout, which follows from the line alone:
 *
 *	DATE TIME_ EVENT__ SUBJECT FIELD=VALUE FIELD=VALUE   # remark
 *
 * Date (10), time (5, or as many blanks), event (7) and subject (6) are filled up with blanks and
 * followed by one; a longer word is followed by one and moves the rest. Fields are in the order
 * of the vocabulary. The works' own fields come after them, then `doc` and `by`. A text keeps its quotes only
 * when it needs them. Nothing else is touched: every number, id, date and label is written as it
 * was, and so are the items of a list and their order. Three blanks precede the remark. Where
 * this would make the line longer than LINE_LONGEST single blanks are used throughout.
 *
 * The canonical form of a canonical line is itself, and it is read as the same content.
 */
#ifndef WITHY_TIDY_H
#define WITHY_TIDY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/vocab.h"

struct line;

/* The place of a field (FIELD_..., or one of the works' own) among others, to compare by. */
int tidy_rank(int field);

/* The line's fields in canonical order: order[i] is an index into l->field. Returns l->nfields. */
size_t tidy_order(const struct line *l, uint8_t order[USE_MOST]);

/* Adds what goes before the fields of an entry, each of which has a blank before it; `time` may be empty. */
void tidy_head(struct buf *out, struct slice date, struct slice time, struct slice event, struct slice subject);

/*
 * Adds the canonical form of a line of any kind, without a line end. A blank line is empty. A remark
 * is at the start of its line, without blanks after it. A line that cannot be read is unchanged.
 */
void tidy_line(struct buf *out, const struct line *l);

/*
 * The lines of a book, each with its canonical form, and put in order.
 *
 * The order: entries go by their date. Within a date, those with a time go by it, as it is written.
 * An entry without a time stays after the timed entry of its day that it was written after, or
 * before all timed entries. Entries that this does not part keep the order that they had. Remark lines right above
 * an entry, without a blank line next to them, go with it. So do blank lines that have no remark line
 * next to them. Nothing moves across
 *   - the lines before the first entry or line that cannot be read,
 *   - remark lines with a blank line above or below them: they head what follows,
 *   - a line that cannot be read,
 *   - the lines after the last entry.
 * Ordering lines that are in order changes nothing.
 */
struct tidy_row {
	struct slice was;     /* as it was read, with its line end; the caller's bytes */
	size_t at, n;         /* its canonical form in `words`, with LF; n is 0 where that is `was` */
	size_t index;         /* as which it was added; SIZE_MAX for a line that was not there */
	size_t section;       /* nothing moves from one to another */
	int32_t day, second;
	uint8_t kind;         /* enum line_kind */
	bool stays;           /* it is one of the lines that nothing moves across; known after tidy_sort() */
};

struct tidy {
	struct tidy_row *row;
	size_t n, cap;
	struct buf words;
};

void tidy_init(struct tidy *t);
void tidy_release(struct tidy *t);
void tidy_clear(struct tidy *t);

/* The next line, and its bytes with byte-order mark and line end, which must outlive `t`. */
void tidy_add(struct tidy *t, const struct line *l, struct slice was);

/* A line that is to become `now`, with its line end, instead of its canonical form. */
void tidy_add_as(struct tidy *t, const struct line *l, struct slice now, struct slice was);

/*
 * Puts the rows in order. Where this brings a remark to the top that a reader would take for
 * another version of the format, a row `# withy 1` goes above it.
 */
void tidy_sort(struct tidy *t);

/* What row `i` now is, with its LF. */
struct slice tidy_text(const struct tidy *t, size_t i);

/* The first row that differs from the row that was there; t->n when there is none. */
size_t tidy_first_change(const struct tidy *t);

#endif
