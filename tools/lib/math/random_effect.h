/*
 * random_effect.h - the mean of things that differ, each measured with an error of its own.
 *
 * Estimate i is mean + u_i + e_i: u_i is how that thing differs, with a variance `between` that is the same for
 * all, and e_i is the error of its estimate, with the known variance `within`. `between` is the one at which the
 * weighted sum of squares is its expectation (Paule and Mandel 1982; 0 where it is less). The mean is weighted by
 * 1 / (between + within). Its error is that of Hartung and Knapp (2001): what the estimates themselves
 * scatter by, with Student's t and n - 1 degrees of freedom. Where all errors are alike this is the one-way
 * analysis of variance, and the interval is exact.
 * One thing does not show how things differ: its `error` is NAN.
 */
#ifndef WITHY_RANDOM_EFFECT_H
#define WITHY_RANDOM_EFFECT_H

#include <stddef.h>

struct effect {
	double value, within;     /* variance of its error, above 0 */
};

struct random_effect {
	size_t n;
	double mean, error;       /* standard error, for Student's t with n - 1 */
	double between;           /* variance */
};

/* NAN without any. */
struct random_effect random_effect_of(const struct effect *list, size_t n);

/* How far the mean may be off to either side, two-sided at `sure`. */
double random_effect_half(const struct random_effect *r, double sure);

#endif
