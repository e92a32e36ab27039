/*
 * table_internal.h - the parts of a table, for its forms; private to table*.c.
 */
#ifndef WITHY_TABLE_INTERNAL_H
#define WITHY_TABLE_INTERNAL_H

#include "table/table.h"

/* The kind of a cell that holds nothing. */
enum { TABLE_ABSENT = 255 };

/*
 * What a form is made of: how it writes a text, and whether figures are rounded for reading.
 * Text, whose cells need their widths, and json go their own ways.
 */
struct table_dress {
	void (*text)(struct buf *b, struct slice s);
	void (*name)(struct buf *b, struct slice s);
	bool rounded;
};

extern const struct table_dress table_dresses[]; /* by form */

bool table_is_number(enum table_type type);
bool table_is_text(const struct table_cell *cell);
struct slice table_text_of(const struct table *t, const struct table_cell *cell);

/* Rows with the last one, which may lack cells; a cell of one of them. */
size_t table_rows_held(const struct table *t);
const struct table_cell *table_cell_at(const struct table *t, size_t row, size_t column);

/* What a form writes for a cell that is not absent, and for a column's name or heading. */
void table_add_cell(struct buf *b, const struct table *t, const struct table_cell *cell, enum table_form form);
void table_add_name(struct buf *b, const struct table *t, size_t column, enum table_form form);

/* The header row and all rows as aligned text. */
void table_text_all(const struct table *t, struct table_style style, struct buf *out);

/* The columns of `style.fit`, into `pick`; returns how many. */
size_t table_text_fitting(const struct table *t, struct table_style style, size_t *pick);

/* A sentence of visible text in lines of at most `width` cells (0: one line), each with its LF. */
void table_add_wrapped(struct buf *out, struct slice text, unsigned width);

#endif
