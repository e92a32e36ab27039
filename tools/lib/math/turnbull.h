/*
 * turnbull.h - how long it took, where each case is known between two days: the likeliest distribution.
 *
 * The nonparametric maximum-likelihood estimate of Turnbull (1976, Journal of the Royal Statistical Society B 38), found
 * by his self-consistent steps. It says how much lies in each of the shortest intervals that matter, and nothing about where in them:
 * it is spread evenly over their days. What lies after the last case that was not seen is put on the day after it
 * (Efron 1967), for nobody knows more.
 */
#ifndef WITHY_TURNBULL_H
#define WITHY_TURNBULL_H

#include <stddef.h>

#include "math/day_odds.h"

/* share[0] to share[days] get the chance of each day; days above `days` count as `days`. False for no case. */
bool turnbull(const struct day_seen *seen, size_t n, double *share, int days);

#endif
