/*
 * return_differences.h - in what the bats that came back differ from the others: every thing that is known of them, compared.
 *
 * Of words (a handle lot, a charge), each that at least RETURN_LEAST bats have is compared with all others by the rate of
 * returns in the time with customers (event_rate.h). Of figures (a moisture, a mass), the bats that came back are compared with
 * those that did not by their ranks (rank_sum.h), if both are known of some. All comparisons are adjusted together
 * (false_discovery.h), without those that could not have shown a difference with so few returns.
 *
 * Things go together: a bad lot of handles went into the blades of one charge. So where several differ, and the least likely
 * one is a word, the others are compared again among the bats that do not have it.
 */
#ifndef WITHY_RETURN_DIFFERENCES_H
#define WITHY_RETURN_DIFFERENCES_H

#include <stddef.h>

#include "returns/return_rates.h"

struct return_difference {
	const char *what;          /* "handle lot", "handle lot, %" */
	struct slice value;        /* of a word; empty of a figure */
	struct return_count in, others; /* of a word; of a figure: how many bats it is known of, that came back and that did not */
	double median_back, median_kept; /* of a figure; else NAN */
	double higher;             /* of a figure: the chance that it is higher of one that came back; else NAN */
	enum return_by by;         /* of a word */
	double p, least_p, adjusted; /* as in return_rates.h */
	double without;            /* p among the bats without the word of the first difference; NAN if it was not asked or has no answer */
};

struct return_differences {
	struct return_difference *row; /* the least likely first */
	size_t n, cap;
	size_t comparisons;            /* that were made: the others could not have shown a difference */
	size_t found;                  /* how many are differences at the rate of false discoveries that is asked for */
	size_t first;                  /* the row of the first difference, if others were compared without it: else SIZE_MAX */
	size_t remain;                 /* then: how many of the other differences are unlikely without it too, at that rate (Bonferroni) */
};

/* The lives must last. */
void return_differences_find(struct return_differences *d, struct bat_lives *lives, const struct return_ask *ask);
void return_differences_release(struct return_differences *d);

#endif
