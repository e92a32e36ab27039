/*
 * table_read.h - the cells of a table by row and by the name of their column, for who makes another
 * answer of it.
 *
 * Rows count from 0 to table_rows() - 1. A column that the table does not have counts as absent in every row.
 */
#ifndef WITHY_TABLE_READ_H
#define WITHY_TABLE_READ_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct table;

/* Whether the cell holds anything. An empty text is nothing. */
bool table_has(const struct table *t, size_t row, const char *column);

/* A text or a date; empty for what is none. Valid until the table changes. */
struct slice table_word(const struct table *t, size_t row, const char *column);

/* A number of any kind; NAN for what is none. */
double table_figure(const struct table *t, size_t row, const char *column);

/* A whole number; 0 for what is none. */
int64_t table_count(const struct table *t, size_t row, const char *column);

/* Puts the cell as the next one of `to`, as exact as it is. */
void table_copy_cell(struct table *to, const struct table *from, size_t row, const char *column);

#endif
