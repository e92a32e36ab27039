/*
 * rate.h - how fast a piece dries: its first-order rate, its loss of late, and the limit of that.
 */
#ifndef WITHY_RATE_H
#define WITHY_RATE_H

#include <stdbool.h>
#include <stddef.h>

#include "dry/law.h"

struct dry_charge;
struct dry_fit;
struct dry_probe;

/*
 * The first-order rate of the piece of probe i, in 1/day. The span begins where the piece is below fibre
 * saturation and ends at its last reading. The rate is the loss of moisture over the span, divided by the
 * sum over time of how far the piece was above its rest value. The rest value is that of its wood in that
 * air (Me + offset). The rate is the k of the first-order law. It is not the model's own k, which is against
 * the surface. *factor is the uncertainty (1 sd: multiply or divide by it). The rate is NAN while nothing was
 * lost.
 */
double dry_rate(const struct dry_charge *charge, const struct dry_fit *fit, size_t i, double *factor);

/* How many points a day wood of a band may lose, its ends included. */
struct dry_rate_limit {
	double low, high;    /* per cent; open ends are infinite */
	bool rest;           /* of what no other band is of */
	double most;         /* points a day */
};

/* The limit at a moisture, of `n` in any order: of two bands that touch there the lower one. NULL: none. */
const struct dry_rate_limit *dry_rate_limit_at(const struct dry_rate_limit *most, size_t n, double mc);

/* How fast a probe's piece dries, by its last reading and the latest 18 hours before that at least. */
struct dry_pace {
	double rate;         /* points a day; NAN where two such readings are not there, or where one that is off the scale leaves it open */
	double mc, days;     /* mean of the two, and how far they are apart */
};

struct dry_pace dry_pace_of(const struct dry_probe *probe, double now);

#endif
