#include "math/false_discovery.h"

#include <stdlib.h>

#include "base/mem.h"

struct ranked {
	double p;
	size_t at;
};

/* The greatest first; of equal ones any, for they are adjusted alike. */
static int by_p(const void *a, const void *b)
{
	const struct ranked *x = a, *y = b;

	return (x->p < y->p) - (x->p > y->p);
}

void false_discovery_adjust(const double *p, size_t n, double *adjusted)
{
	struct ranked *row = mem_array(n + 1, sizeof *row);
	double least = 1;

	for (size_t i = 0; i < n; i++)
		row[i] = (struct ranked){ p[i], i };
	qsort(row, n, sizeof *row, by_p);
	for (size_t i = 0; i < n; i++) {
		double up = row[i].p * (double)n / (double)(n - i);

		least = up < least ? up : least;
		adjusted[row[i].at] = least;
	}
	free(row);
}

static size_t count_under(const double *least, size_t n, double most)
{
	size_t k = 0;

	for (size_t i = 0; i < n; i++)
		k += least[i] <= most;
	return k;
}

size_t false_discovery_keep(const double *least, size_t n, double rate, bool *kept)
{
	size_t k = 1, kept_n = 0;

	while (k < n && count_under(least, n, rate / (double)k) > k)
		k++;
	for (size_t i = 0; i < n; i++) {
		kept[i] = least[i] <= rate / (double)k;
		kept_n += kept[i];
	}
	return kept_n;
}
