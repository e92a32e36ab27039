#include "returns/return_differences.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "math/rank_sum.h"

static struct return_difference *add(struct return_differences *d, const char *what)
{
	d->row = mem_grow(d->row, &d->cap, d->n + 1, sizeof *d->row);
	d->row[d->n] = (struct return_difference){ .what = what, .median_back = NAN, .median_kept = NAN, .higher = NAN, .without = NAN };
	return &d->row[d->n++];
}

/* ---- words */

static void compare_words(struct return_differences *d, struct bat_lives *lives, const struct return_ask *ask)
{
	static const struct {
		enum return_by by;
		const char *what;
	} WORDS[] = { { RETURN_BY_HANDLE, "handle lot" }, { RETURN_BY_CHARGE, "charge" }, { RETURN_BY_LOT, "blade's lot" }, { RETURN_BY_PARCEL, "parcel" },
		{ RETURN_BY_SUPPLIER, "supplier" }, { RETURN_BY_TYPE, "type" }, { RETURN_BY_GRADE, "grade" }, { RETURN_BY_SEASON, "made in" },
		{ RETURN_BY_CUSTOMER, "customer" } };

	for (size_t i = 0; i < sizeof WORDS / sizeof *WORDS; i++) {
		struct return_rates r;

		return_rates_compare(&r, lives, ask, WORDS[i].by);
		for (size_t k = 0; k < r.n; k++) {
			struct return_difference *row;

			if (isnan(r.row[k].p) || !r.row[k].key.n)
				continue;
			row = add(d, WORDS[i].what);
			row->value = r.row[k].key;
			row->by = WORDS[i].by;
			row->in = r.row[k].count;
			row->others = (struct return_count){ r.all.bats - row->in.bats, r.all.back - row->in.back, r.all.months - row->in.months };
			row->p = r.row[k].p;
			row->least_p = r.row[k].least_p;
		}
		return_rates_release(&r);
	}
}

/* ---- figures */

/* Of sorted values, of one of the groups. */
static double median(const struct rank_sum_value *value, size_t n, bool in, size_t m)
{
	size_t at = 0, low = (m - 1) / 2, high = m / 2;
	double sum = 0;

	for (size_t i = 0; i < n; i++) {
		if (value[i].in != in)
			continue;
		sum += at == low ? value[i].value : 0;
		sum += at == high ? value[i].value : 0;
		at++;
	}
	return sum / 2;
}

static double figure_of(const struct bat_life *life, size_t i)
{
	if (i < LIFE_FIGURES)
		return life->figure[i];
	return life->figure[LIFE_HANDLE_READ] - life->figure[LIFE_BLADE_READ];
}

static void compare_figure(struct return_differences *d, const struct bat_lives *lives, const struct return_ask *ask, size_t figure, const char *what,
	struct rank_sum_value *value)
{
	size_t n = 0, m = 0;
	struct rank_sum ranks;
	struct return_difference *row;

	for (size_t i = 0; i < lives->n; i++) {
		double x = figure_of(&lives->life[i], figure);

		if (isnan(x) || !return_counts(ask, &lives->life[i]))
			continue;
		value[n] = (struct rank_sum_value){ x, return_is_back(ask, lives, &lives->life[i]) };
		m += value[n++].in;
	}
	ranks = rank_sum_of(value, n);
	if (isnan(ranks.p))
		return;
	row = add(d, what);
	row->in = (struct return_count){ (int64_t)m, (int64_t)m, 0 };
	row->others = (struct return_count){ (int64_t)(n - m), 0, 0 };
	row->median_back = median(value, n, true, m);
	row->median_kept = median(value, n, false, n - m);
	row->higher = ranks.higher;
	row->p = ranks.p;
}

static void compare_figures(struct return_differences *d, const struct bat_lives *lives, const struct return_ask *ask)
{
	static const char *const FIGURES[LIFE_FIGURES + 1] = { "driest reading, %", "handle lot, %", "blade as made, %", "handle as made, %", "months in store", "mass, g",
		"handle - blade, %" };
	struct rank_sum_value *value = mem_array(lives->n + 1, sizeof *value);

	for (size_t i = 0; i <= LIFE_FIGURES; i++)
		compare_figure(d, lives, ask, i, FIGURES[i], value);
	free(value);
}

/* ---- all together */

static int by_p(const void *a, const void *b)
{
	const struct return_difference *x = a, *y = b;
	int order;

	if (x->p < y->p || x->p > y->p)
		return x->p < y->p ? -1 : 1;
	order = strcmp(x->what, y->what);
	return order ? order : slice_cmp(x->value, y->value);
}

static void compare(struct return_differences *d, struct bat_lives *lives, const struct return_ask *ask)
{
	*d = (struct return_differences){ .first = SIZE_MAX };
	compare_words(d, lives, ask);
	compare_figures(d, lives, ask);
}

/* ---- without the bats of the first difference */

static size_t first_found(const struct return_differences *d, double rate)
{
	for (size_t i = 0; i < d->n; i++)
		if (d->row[i].adjusted <= rate)
			return i;
	return SIZE_MAX;
}

/* The p of the same thing in other comparisons; NAN where it was not compared. */
static double p_of(const struct return_differences *d, const struct return_difference *like)
{
	for (size_t i = 0; i < d->n; i++)
		if (!strcmp(d->row[i].what, like->what) && slice_eq(d->row[i].value, like->value))
			return d->row[i].p;
	return NAN;
}

static void compare_without(struct return_differences *d, struct bat_lives *lives, const struct return_ask *ask)
{
	struct return_differences rest;
	struct return_ask less = *ask;
	size_t first = first_found(d, ask->fdr);

	if (d->found < 2 || !d->row[first].value.n)
		return;
	d->first = first;
	less.without_kind = return_word_of[d->row[first].by];
	less.without = intern_find(&lives->words, d->row[first].value);
	compare(&rest, lives, &less);
	for (size_t i = 0; i < d->n; i++) {
		struct return_difference *row = &d->row[i];

		row->without = i == first ? NAN : p_of(&rest, row);
		d->remain += row->adjusted <= ask->fdr && row->without <= ask->fdr / (double)(d->found - 1);
	}
	return_differences_release(&rest);
}

void return_differences_find(struct return_differences *d, struct bat_lives *lives, const struct return_ask *ask)
{
	double *p, *least;

	compare(d, lives, ask);
	if (!d->n)
		return;
	qsort(d->row, d->n, sizeof *d->row, by_p);
	p = mem_array(2 * d->n, sizeof *p);
	least = p + d->n;
	for (size_t i = 0; i < d->n; i++) {
		p[i] = d->row[i].p;
		least[i] = d->row[i].least_p; /* 0 of a figure: ranks could always have fallen far apart */
	}
	d->comparisons = return_adjust(p, least, d->n, ask->fdr, p);
	for (size_t i = 0; i < d->n; i++) {
		d->row[i].adjusted = p[i];
		d->found += p[i] <= ask->fdr;
	}
	free(p);
	compare_without(d, lives, ask);
}

void return_differences_release(struct return_differences *d)
{
	free(d->row);
	*d = (struct return_differences){ .n = 0 };
}
