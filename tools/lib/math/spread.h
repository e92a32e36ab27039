/*
 * spread.h - how much more than by chance the share of pieces differs from lot to lot, and what an interval
 * must allow for it.
 *
 * Pieces of one lot are alike. If `correlation` is that of two pieces of a lot, k of its n pieces vary by
 * n p (1 - p) (1 + (n - 1) correlation): the variance of the beta-binomial distribution. The correlation is the
 * one for which Pearson's chi-squared equals its degrees of freedom (Williams 1982, model II). A share of
 * pieces of several lots is as good as one of n / design pieces (Rao and Scott 1992), and Student's t takes the
 * place of the normal point, for the correlation is an estimate (Korn and Graubard 1998).
 *
 * Lots belong to rows of an answer. With `within` only the differences between lots of one row count, else
 * those between all lots; for the share of all rows together it is always these. With fewer than SPREAD_LOTS_LEAST lots nothing is known: the correlation is 0, the
 * point is the normal one, and `known` is false.
 */
#ifndef WITHY_SPREAD_H
#define WITHY_SPREAD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

enum { SPREAD_LOTS_LEAST = 5 };
#define SPREAD_MOST 0.99     /* of the correlation */

/* How much pieces of a lot are alike, and how well that is known. */
struct spread_found {
	double correlation, df;
	bool known;
};

/* Of one lot in one row: k of n pieces. */
struct spread_lot {
	size_t row;
	uint32_t lot;
	int64_t k, n;
};

struct spread {
	struct spread_lot *lot;
	size_t n, cap;
	double *design;        /* by row, 1 or more */
	double design_all;     /* of all rows together */
	struct spread_found rows, all; /* for a row; for all of them together, where lots of different rows are compared */
	size_t lots;           /* different ones */
};

/* A zeroed struct is empty. What makes no share (n of 0, k outside 0 to n) is passed over. */
void spread_add(struct spread *s, size_t row, uint32_t lot, int64_t k, int64_t n);
void spread_end(struct spread *s, size_t rows, bool within);
void spread_release(struct spread *s);

/* Student's point, or the normal one where nothing is known, that is passed with a chance of 1 - p. */
double spread_point(const struct spread_found *found, double p);

#endif
