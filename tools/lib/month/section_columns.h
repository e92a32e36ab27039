/*
 * section_columns.h - a section of the month's page as columns of an answer.
 *
 * A section names the columns of an answer that it shows, with their headings. A proportion is shown in per cent.
 */
#ifndef WITHY_SECTION_COLUMNS_H
#define WITHY_SECTION_COLUMNS_H

#include <stddef.h>

struct buf;
struct table;

/* How a column is shown: words, a whole number, a figure without decimals, with one, with two, a proportion in per cent. */
enum section_show { WORD, COUNT, WHOLE, TENTHS, HUNDREDTHS, PERCENT };

struct section_column {
	const char *from, *heading;
	enum section_show show;
	unsigned char places;      /* of PERCENT */
	void (*write)(const struct table *t, size_t row, struct buf *out); /* instead of `from`: some words; none: absent */
};

#define SECTION_LENGTH(columns) (sizeof(columns) / sizeof *(columns))

/* Initializes `to`, which then belongs to the caller. */
void section_start(struct table *to, const struct section_column *c, size_t n);

/* Puts n cells of the row of an answer. */
void section_row(struct table *to, const struct section_column *c, size_t n, const struct table *from, size_t row);

/* section_start(), and every row of the answer. */
void section_all(struct table *to, const struct section_column *c, size_t n, const struct table *from);

/* Adds "8.4..9.4", of two figures times `scale`; nothing where there are none. */
void section_range(struct buf *out, const struct table *t, size_t row, const char *low, const char *high, int places, double scale);

#endif
