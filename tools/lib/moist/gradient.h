/*
 * gradient.h - how much wetter the core is than the shell.
 *
 * The difference is of means, deep less shallow, in points of moisture, with a two-sided interval by Student's
 * t: of the differences within pieces where two pieces or more were read at both depths on one
 * day, else of two samples whose spreads may differ (Welch 1947). Above 0 the core is the wetter: the
 * piece still dries. Below 0 the shell is: it has taken up water again, or was conditioned.
 */
#ifndef WITHY_GRADIENT_H
#define WITHY_GRADIENT_H

#include <stddef.h>
#include <stdint.h>

struct gradient_depth {
	uint32_t piece;  /* 0: one at random, without a partner */
	int32_t day;
	double mc_pct;
};

struct gradient {
	size_t pairs;             /* 0: two samples */
	double points, low, high; /* NAN where there is none; low and high NAN where it is of single pieces */
};

/* Puts both lists in the order of pieces; each piece is once in each. */
struct gradient gradient_of(struct gradient_depth *shallow, size_t m, struct gradient_depth *deep, size_t n, double sure);

#endif
