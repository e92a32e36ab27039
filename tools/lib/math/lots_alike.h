/*
 * lots_alike.h - how much pieces of a lot are alike (spread.h), for a heap of lots that single lots are taken out of and put back into.
 *
 * Of lots of one size only sums count: how many there are, their k, and their k^2. So an answer costs as much as there are
 * different sizes, however many lots there are; to leave out each lot of a heap in turn costs lots times sizes. The correlation is that
 * of spread.h for one row, within 1e-15. The sums are exact for lots of less than 9e7 pieces, so that the order of lots does not count.
 */
#ifndef WITHY_LOTS_ALIKE_H
#define WITHY_LOTS_ALIKE_H

#include <stddef.h>
#include <stdint.h>

#include "math/spread.h"

/* The lots of n pieces. */
struct alike_size {
	int64_t n, lots, k;
	double squares;        /* of k */
};

struct lots_alike {
	struct alike_size *size; /* by n */
	size_t n, cap;
	int64_t lots;
};

/* A zeroed struct is empty. n is above 0, k from 0 to n. */
void lots_alike_put(struct lots_alike *a, int64_t k, int64_t n);

/* Takes out a lot that was put in. */
void lots_alike_take(struct lots_alike *a, int64_t k, int64_t n);
void lots_alike_release(struct lots_alike *a);

struct spread_found lots_alike_find(const struct lots_alike *a);

/* How many pieces count as one, of all the heap's: 1 or more. */
double lots_alike_design(const struct lots_alike *a, double correlation);

#endif
