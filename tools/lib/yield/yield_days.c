#include "yield/yield_days.h"

#include <stdlib.h>

#include "yield/yield_rows.h"

struct stay {
	size_t row;
	int32_t days;
	int64_t n;
};

static int by_row_days(const void *a, const void *b)
{
	const struct stay *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	return (x->days > y->days) - (x->days < y->days);
}

/* The stays of each row, by row, then by days; the caller frees them. */
static struct stay *stays_by_row(const struct yield_rows *y, size_t *n)
{
	const struct stages *w = y->stages;
	struct stay *stay = mem_array(w->nstays * YIELD_ROWS_MOST, sizeof *stay);

	*n = 0;
	for (size_t i = 0; i < w->nstays; i++) {
		const size_t *row;
		size_t nrows = yield_rows_of(y, w->stay[i].cell, &row);

		for (size_t k = 0; k < nrows; k++)
			stay[(*n)++] = (struct stay){ row[k], w->stay[i].days, w->stay[i].n };
	}
	if (*n)
		qsort(stay, *n, sizeof *stay, by_row_days);
	return stay;
}

/* The days of the piece that has so many before it. */
static int32_t days_at(const struct stay *s, int64_t piece)
{
	while (piece >= s->n)
		piece -= (s++)->n;
	return s->days;
}

int64_t *yield_days_twice(const struct yield_rows *y)
{
	size_t n;
	struct stay *stay = stays_by_row(y, &n);
	int64_t *twice = mem_array(y->nrows, sizeof *twice);

	for (size_t i = 0; i < y->nrows; i++)
		twice[i] = -1;
	for (size_t i = 0, k; i < n; i = k) {
		int64_t pieces = 0;

		for (k = i; k < n && stay[k].row == stay[i].row; k++)
			pieces += stay[k].n;
		twice[stay[i].row] = (int64_t)days_at(&stay[i], (pieces - 1) / 2) + days_at(&stay[i], pieces / 2);
	}
	free(stay);
	return twice;
}
