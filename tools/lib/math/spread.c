#include "math/spread.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/distributions.h"

enum { HALVINGS = 60 };

void spread_add(struct spread *s, size_t row, uint32_t lot, int64_t k, int64_t n)
{
	if (n <= 0 || k < 0 || k > n)
		return;
	s->lot = mem_grow(s->lot, &s->cap, s->n + 1, sizeof *s->lot);
	s->lot[s->n++] = (struct spread_lot){ row, lot, k, n };
}

void spread_release(struct spread *s)
{
	free(s->lot);
	free(s->design);
	*s = (struct spread){ 0 };
}

/* ---- one entry for each row and lot */

static int by_row(const void *a, const void *b)
{
	const struct spread_lot *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	return (x->lot > y->lot) - (x->lot < y->lot);
}

static bool is_by_row(const struct spread_lot *lot, size_t n)
{
	for (size_t i = 1; i < n; i++)
		if (by_row(&lot[i - 1], &lot[i]) > 0)
			return false;
	return true;
}

/* Numbers of rows and lots follow the order of the lines; so that a sum does not, it goes by the counts. */
static int by_counts(const void *a, const void *b)
{
	const struct spread_lot *x = a, *y = b;

	if (x->row != y->row)
		return x->row < y->row ? -1 : 1;
	if (x->n != y->n)
		return x->n < y->n ? -1 : 1;
	return (x->k > y->k) - (x->k < y->k);
}

static int by_value(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

static size_t merged(struct spread_lot *lot, size_t all)
{
	size_t n = 0;

	if (!is_by_row(lot, all))
		qsort(lot, all, sizeof *lot, by_row);
	for (size_t i = 0; i < all; i++)
		if (n && by_row(&lot[n - 1], &lot[i]) == 0) {
			lot[n - 1].k += lot[i].k;
			lot[n - 1].n += lot[i].n;
		} else
			lot[n++] = lot[i];
	if (n)
		qsort(lot, n, sizeof *lot, by_counts);
	return n;
}

static bool is_one_row(const struct spread *s)
{
	return s->n && s->lot[0].row == s->lot[s->n - 1].row;
}

/* The same as if all were one row; the caller frees it, unless it is the spread's. */
static struct spread_lot *as_one_row(const struct spread *s, size_t *n)
{
	struct spread_lot *lot;

	*n = s->n;
	if (is_one_row(s))
		return s->lot;
	lot = mem_array(s->n, sizeof *lot);
	for (size_t i = 0; i < s->n; i++) {
		lot[i] = s->lot[i];
		lot[i].row = 0;
	}
	*n = merged(lot, s->n);
	return lot;
}

/* ---- the correlation */

static double row_chi2(const struct spread_lot *lot, size_t n, double correlation)
{
	double k = 0, all = 0, p, sum = 0;

	for (size_t i = 0; i < n; i++) {
		double w = 1 / (1 + (double)(lot[i].n - 1) * correlation);

		k += w * (double)lot[i].k;
		all += w * (double)lot[i].n;
	}
	p = k / all;
	if (!(p > 0 && p < 1))
		return 0;
	for (size_t i = 0; i < n; i++) {
		double off = (double)lot[i].k - (double)lot[i].n * p;

		sum += off * off / ((double)lot[i].n * p * (1 - p) * (1 + (double)(lot[i].n - 1) * correlation));
	}
	return sum;
}

/* `room` has a place for each row. */
static double chi2_of(const struct spread_lot *lot, size_t n, double correlation, double *room)
{
	double sum = 0;
	size_t rows = 0;

	for (size_t i = 0, end; i < n; i = end) {
		for (end = i; end < n && lot[end].row == lot[i].row;)
			end++;
		room[rows++] = row_chi2(lot + i, end - i, correlation);
	}
	if (rows)
		qsort(room, rows, sizeof *room, by_value);
	for (size_t i = 0; i < rows; i++)
		sum += room[i];
	return sum;
}

static double degrees(const struct spread_lot *lot, size_t n)
{
	double df = 0;

	for (size_t i = 1; i < n; i++)
		df += lot[i].row == lot[i - 1].row;
	return df;
}

static struct spread_found find_correlation(const struct spread_lot *lot, size_t n)
{
	double low = 0, high = SPREAD_MOST, *room = mem_array(n, sizeof *room), df = degrees(lot, n);
	bool known = df >= SPREAD_LOTS_LEAST - 1, above = known && chi2_of(lot, n, low, room) > df;

	for (int i = 0; above && i < HALVINGS; i++) {
		double middle = (low + high) / 2;

		if (chi2_of(lot, n, middle, room) > df)
			low = middle;
		else
			high = middle;
	}
	free(room);
	return (struct spread_found){ low, df, known };
}

/* ---- what it costs a share */

static double design_of(const struct spread_lot *lot, size_t n, double correlation)
{
	double all = 0, squares = 0;

	for (size_t i = 0; i < n; i++) {
		all += (double)lot[i].n;
		squares += (double)lot[i].n * (double)lot[i].n;
	}
	return n ? 1 + (squares / all - 1) * correlation : 1;
}

void spread_end(struct spread *s, size_t rows, bool within)
{
	struct spread_lot *one;

	s->n = merged(s->lot, s->n);
	one = as_one_row(s, &s->lots);
	s->all = find_correlation(one, s->lots);
	if (within)
		s->rows = is_one_row(s) ? s->all : find_correlation(s->lot, s->n);
	if (!s->rows.known)
		s->rows = s->all;
	s->design = mem_array(rows, sizeof *s->design);
	for (size_t i = 0; i < rows; i++)
		s->design[i] = 1;
	for (size_t i = 0, end; i < s->n; i = end) {
		for (end = i; end < s->n && s->lot[end].row == s->lot[i].row;)
			end++;
		s->design[s->lot[i].row] = design_of(s->lot + i, end - i, s->rows.correlation);
	}
	s->design_all = design_of(one, s->lots, s->all.correlation);
	if (one != s->lot)
		free(one);
}

double spread_point(const struct spread_found *found, double p)
{
	return found->known ? dist_t_q(p, found->df) : dist_normal_q(p);
}
