/*
 * decimal_comma.h - rows in which the comma is both the separator and the decimal mark: 2026-06-09,23,5,81.
 *
 * Such a row has more cells than there are columns. Each column takes one cell, or two that are
 * the halves of a number. A row is understood when there is exactly one way to do that.
 */
#ifndef WITHY_DECIMAL_COMMA_H
#define WITHY_DECIMAL_COMMA_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "intake/cell_number.h"

struct csv_cell;

enum { DECIMAL_COMMA_COLUMNS = 128 };

struct decimal_comma_column {
	int decimals;              /* digits after the comma: always so many; -1: not known; 0: none */
	bool whole;                /* never two cells: a time, a text */
};

struct decimal_comma {
	struct csv_cell *cell;     /* the columns' cells, ncols of them */
	size_t cap;
	struct buf scratch;
	uint8_t ways[DECIMAL_COMMA_COLUMNS + 1][2 * DECIMAL_COMMA_COLUMNS + 1];
};

void decimal_comma_release(struct decimal_comma *f);

/* In how many ways the n cells fill the columns: 0, 1, or 2 for more. With 1, f->cell has them. */
int decimal_comma_row(struct decimal_comma *f, const struct decimal_comma_column *column, size_t ncols, const struct csv_cell *cell, size_t n);

#endif
