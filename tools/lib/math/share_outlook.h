/*
 * share_outlook.h - how many of n pieces are to be expected, by the shares of earlier periods.
 *
 * Shares of periods differ by more than chance: `correlation` is that of two pieces of a period, for which k of n pieces vary by
 * n p (1 - p) (1 + (n - 1) correlation). It is found from the sum over periods of (k - n p)^2, so that large periods count most
 * (Kleinman 1973, J. Am. Statist. Assoc. 68, 46, with weights n), of at least SHARE_PERIODS_LEAST periods, else 0. The mean share has Jeffreys' prior and the earlier
 * pieces, counted as fewer where periods differ (Rao and Scott 1992). What is expected of n pieces is a beta-binomial
 * distribution with this mean, and with the variance of both: of the mean, and of a period about it (the first two
 * moments; beta_binomial.h). The second is widened as Student's t is against the normal, for the
 * correlation is an estimate; 95 % ranges of simulated works then held 91 to 99 % (without it 90).
 *
 * Shares of pieces are culls and the like, with counts up to DIST_PIECES_MOST. A question without an answer gives NAN.
 */
#ifndef WITHY_SHARE_OUTLOOK_H
#define WITHY_SHARE_OUTLOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "math/beta_binomial.h"

enum { SHARE_PERIODS_LEAST = 5 };

/* In one period k of n pieces. */
struct share_period {
	int64_t k, n;
};

struct share_outlook {
	double share, correlation; /* the mean of the earlier periods; of two pieces of a period */
	struct beta is;            /* the distribution of a period's share */
};

struct share_outlook share_outlook_of(const struct share_period *before, size_t n);

/* The counts that hold a probability of `sure` in the middle; false: no answer. */
bool share_outlook_range(const struct share_outlook *o, int64_t n, double sure, int64_t *low, int64_t *high);

/* The chance of a count at least as far out as k, two-sided: twice the smaller tail, 1 at most. */
double share_outlook_tail(const struct share_outlook *o, int64_t k, int64_t n);

#endif
