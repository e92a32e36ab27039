#include "math/lots_alike.h"

#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "math/numeric.h"

static const double WITHIN = 1e-15;

void lots_alike_release(struct lots_alike *a)
{
	free(a->size);
	*a = (struct lots_alike){ .n = 0 };
}

/* ---- putting in and taking out */

/* The first size of n or more. */
static size_t size_from(const struct lots_alike *a, int64_t n)
{
	size_t low = 0, high = a->n;

	while (low < high) {
		size_t middle = low + (high - low) / 2;

		if (a->size[middle].n < n)
			low = middle + 1;
		else
			high = middle;
	}
	return low;
}

static void add(struct lots_alike *a, struct alike_size *size, int64_t k, int lots)
{
	size->lots += lots;
	size->k += lots * k;
	size->squares += lots * (double)k * (double)k;
	a->lots += lots;
}

void lots_alike_put(struct lots_alike *a, int64_t k, int64_t n)
{
	size_t at = size_from(a, n);

	if (at == a->n || a->size[at].n != n) {
		a->size = mem_grow(a->size, &a->cap, a->n + 1, sizeof *a->size);
		memmove(a->size + at + 1, a->size + at, (a->n++ - at) * sizeof *a->size);
		a->size[at] = (struct alike_size){ .n = n };
	}
	add(a, &a->size[at], k, 1);
}

void lots_alike_take(struct lots_alike *a, int64_t k, int64_t n)
{
	add(a, &a->size[size_from(a, n)], k, -1);
}

/* ---- the answer */

/* Pearson's chi-squared as spread.h has it, with (k - n p)^2 multiplied out. */
static double chi2_of(const struct lots_alike *a, double correlation)
{
	double k = 0, n = 0, squares = 0, p;

	for (size_t i = 0; i < a->n; i++) {
		const struct alike_size *s = &a->size[i];
		double w = 1 / (1 + (double)(s->n - 1) * correlation);

		k += w * (double)s->k;
		n += w * (double)(s->n * s->lots);
		squares += w * s->squares / (double)s->n;
	}
	p = k / n;
	return p > 0 && p < 1 ? (squares - k * p) / (p * (1 - p)) : 0;
}

static double excess(double correlation, void *context)
{
	const struct lots_alike *a = context;

	return chi2_of(a, correlation) - (double)(a->lots - 1);
}

struct spread_found lots_alike_find(const struct lots_alike *a)
{
	struct lots_alike heap = *a;
	struct spread_found found = { 0, a->lots ? (double)(a->lots - 1) : 0, a->lots >= SPREAD_LOTS_LEAST };

	if (!found.known || !(excess(0, &heap) > 0))
		return found;
	found.correlation = excess(SPREAD_MOST, &heap) > 0 ? SPREAD_MOST : numeric_root(excess, &heap, 0, SPREAD_MOST, WITHIN);
	return found;
}

double lots_alike_design(const struct lots_alike *a, double correlation)
{
	double all = 0, squares = 0;

	for (size_t i = 0; i < a->n; i++) {
		double n = (double)a->size[i].n, pieces = n * (double)a->size[i].lots;

		all += pieces;
		squares += n * pieces;
	}
	return all > 0 ? 1 + (squares / all - 1) * correlation : 1;
}
