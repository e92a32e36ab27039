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

static int by_size(const void *a, const void *b)
{
	const double *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

/* How many of the sorted values are not above `most`. */
static size_t count_under(const double *sorted, size_t n, double most)
{
	size_t low = 0, high = n;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (sorted[mid] <= most)
			low = mid + 1;
		else
			high = mid;
	}
	return low;
}

static double *sorted_copy(const double *values, size_t n)
{
	double *copy = mem_array(n + 1, sizeof *copy);

	for (size_t i = 0; i < n; i++)
		copy[i] = values[i];
	qsort(copy, n, sizeof *copy, by_size);
	return copy;
}

size_t false_discovery_keep(const double *least, size_t n, double rate, bool *kept)
{
	double *sorted = sorted_copy(least, n);
	size_t k = 1, kept_n = 0;

	while (k < n && count_under(sorted, n, rate / (double)k) > k)
		k++;
	free(sorted);
	for (size_t i = 0; i < n; i++) {
		kept[i] = least[i] <= rate / (double)k;
		kept_n += kept[i];
	}
	return kept_n;
}
