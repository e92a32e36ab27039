/*
 * yield_through.h - the yield of each row, and the share of the start that gets through each step.
 *
 * The yields of the steps of one set of keys are multiplied, one step after another; cleaving and buying are one first step.
 * The row of all steps has the product as far as it is known: up to the first step that no piece has left yet. Handles have
 * neither in a bat, where they are through.
 */
#ifndef WITHY_YIELD_THROUGH_H
#define WITHY_YIELD_THROUGH_H

#include "yield/yield_spread.h"

/* A share, as good as fewer pieces where lots differ, and the point of its 95 % interval (Wilson's, wilson_share()). */
struct sure_yield {
	struct stage_share share;
	double point;
};

struct yield_through {
	struct sure_yield yield, so_far;
};

/* By row of the spread's rows; the caller frees it. */
struct yield_through *yield_throughs(const struct yield_spread *s);

#endif
