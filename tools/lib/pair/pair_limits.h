/*
 * pair_limits.h - what a blade and a handle must keep to, to go together: the house file's limits, or others that are asked for.
 */
#ifndef WITHY_PAIR_LIMITS_H
#define WITHY_PAIR_LIMITS_H

#include <stdbool.h>
#include <stdint.h>

struct buf;
struct house;

struct pair_limits {
	double most_apart_pct;     /* INFINITY: no limit */
	double most_gap_mm;        /* likewise */
	double width_mm, cane;     /* the width of the splice; the coefficient of the handle's wood, NAN where there is none */
	int64_t mass_least, mass_most; /* of blade and handle together, micrograms; INT64_MIN and INT64_MAX: any */
};

/* What the house file says of it; `house` may be NULL. */
struct pair_limits pair_limits_of(const struct house *house);

/* Takes what is asked for instead, each NULL or as it was written. False when one is not a valid limit; then `why` says what to write. */
bool pair_limits_ask(struct pair_limits *limits, const char *most_apart, const char *most_gap, const char *mass, struct buf *why);

/* Whether a difference, a gap and a sum of masses keep to them. A gap that is not known (NAN) does. What is at a limit is within. */
bool pair_apart_allowed(const struct pair_limits *limits, double apart_pct);
bool pair_gap_allowed(const struct pair_limits *limits, double gap_mm);
bool pair_mass_matters(const struct pair_limits *limits);

/* How far the joint opens when the handle comes to the moisture of the blade, in mm; NAN without a coefficient. */
double pair_gap_mm(const struct pair_limits *limits, double blade_pct, double handle_pct);

#endif
