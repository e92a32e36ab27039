/*
 * yield_days.h - how many days a step took, by row: Kaplan and Meier's estimate (kaplan_meier.h).
 *
 * What is watched is when pieces go on from a step. Pieces that wait in it still, that were culled in it or went back
 * from it are censored: they count among those that could have gone on, up to that day. With a first day (`since`),
 * pieces that were in the step before count from the day before it on (late entry).
 *
 * The pieces that came into a step on one day are one batch, for they go on together; the interval of the median allows
 * for that, with Student's t for as many batches. Of one batch there is none.
 */
#ifndef WITHY_YIELD_DAYS_H
#define WITHY_YIELD_DAYS_H

#include <stddef.h>
#include <stdint.h>

struct yield_rows;

/* Days, NAN where too few pieces have gone on. */
struct yield_days {
	double median, low, high;  /* with its 95 % interval */
	double most;               /* by when nine of ten have gone on */
	size_t batches;
};

/* By row; a row of coming in, or of all steps, has none. The caller frees it. */
struct yield_days *yield_days_of(const struct yield_rows *y);

#endif
