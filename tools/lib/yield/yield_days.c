#include "yield/yield_days.h"

#include <math.h>
#include <stdlib.h>

#include "math/distributions.h"
#include "math/kaplan_meier.h"
#include "yield/yield_rows.h"

struct stay {
	size_t row;
	struct km_case is;
};

static int by_row(const void *a, const void *b)
{
	const struct stay *x = a, *y = b;

	return (x->row > y->row) - (x->row < y->row);
}

static struct km_case case_of(const struct stages *w, const struct stage_stay *s)
{
	int32_t before = w->from == INT32_MIN || s->since >= w->from ? -1 : w->from - 1 - s->since;

	return (struct km_case){ before, s->days, s->since, s->end == STAGE_END_OUT, s->n };
}

static bool takes_days(uint32_t step)
{
	return step != STAGE_CLEAVE && step != STAGE_BUY && step != YIELD_ALL_STEPS;
}

/* The stays of each row, by row; the caller frees them. */
static struct stay *stays_by_row(const struct yield_rows *y, size_t *n)
{
	const struct stages *w = y->stages;
	struct stay *stay = mem_array(w->nstays * YIELD_ROWS_MOST, sizeof *stay);

	*n = 0;
	for (size_t i = 0; i < w->nstays; i++) {
		const size_t *row;
		size_t nrows = yield_rows_of(y, w->stay[i].cell, &row);

		for (size_t k = 0; k < nrows; k++)
			if (takes_days(y->row[row[k]].head.step))
				stay[(*n)++] = (struct stay){ row[k], case_of(w, &w->stay[i]) };
	}
	if (*n)
		qsort(stay, *n, sizeof *stay, by_row);
	return stay;
}

static struct yield_days days_of(struct km_case *list, size_t n)
{
	struct kaplan_meier km;
	struct yield_days days = { NAN, NAN, NAN, NAN, 0 };

	kaplan_meier_of(&km, list, n);
	days.batches = km.batches;
	days.median = km_day(&km, 0.5);
	days.most = km_day(&km, 0.9);
	if (km.batches > 1)
		km_day_interval(&km, 0.5, dist_t_q(0.975, (double)(km.batches - 1)), &days.low, &days.high);
	kaplan_meier_release(&km);
	return days;
}

struct yield_days *yield_days_of(const struct yield_rows *y)
{
	size_t n;
	struct stay *stay = stays_by_row(y, &n);
	struct km_case *list = mem_array(n, sizeof *list);
	struct yield_days *days = mem_array(y->nrows, sizeof *days);

	for (size_t i = 0; i < y->nrows; i++)
		days[i] = (struct yield_days){ NAN, NAN, NAN, NAN, 0 };
	for (size_t i = 0; i < n; i++)
		list[i] = stay[i].is;
	for (size_t i = 0, k; i < n; i = k) {
		for (k = i; k < n && stay[k].row == stay[i].row;)
			k++;
		days[stay[i].row] = days_of(list + i, k - i);
	}
	free(list);
	free(stay);
	return days;
}
