/*
 * gaps.h - how many days a works lets pass between two readings of a charge.
 *
 * Learned from this charge and from earlier ones: every day counts on which a probe that the rule looks at was
 * read. A forecast draws from them when it will be seen that a rule holds.
 */
#ifndef WITHY_GAPS_H
#define WITHY_GAPS_H

#include <stddef.h>

struct dry_charge;
struct dice;
struct dry_prior;

struct gaps {
	double *day;               /* the gaps, in days, as often as they count */
	size_t n, cap;
	double since;              /* the last reading was so many days ago; 0 where there is none */
};

/* Adds the gaps of a charge up to a day, each counted `times` over. */
void gaps_add(struct gaps *g, const struct dry_charge *charge, double now, int times);

/* Those of a charge as of a day, and of the earlier charges; two days where there are none. */
void gaps_init(struct gaps *g, const struct dry_charge *charge, const struct dry_prior *prior, double now);
void gaps_release(struct gaps *g);

/* Days from now to the next reading, and from that to the one after it. */
double gaps_first(const struct gaps *g, struct dice *dice);
double gaps_next(const struct gaps *g, struct dice *dice);

#endif
