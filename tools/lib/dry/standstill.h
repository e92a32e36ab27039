/*
 * standstill.h - whether the probes have stopped where they are, outside the band.
 *
 * The readings alone decide, and no model: a line through the readings of each probe, with the same slope for all.
 * In ten more days it must move less than 0.3 points and not come into the band, and its limit must exclude that it
 * comes nearer by 0.8. The limit is so sure that twenty rounds of readings, each looked at, are together wrong in at
 * most one in twenty charges that dry on at just that pace (Bonferroni).
 */
#ifndef WITHY_STANDSTILL_H
#define WITHY_STANDSTILL_H

#include <stdbool.h>

struct dry_charge;
struct dry_rule;

struct dry_flat {
	double level;   /* the mean of the probes over these */
	double days;    /* from the first to the last reading */
	double moves;   /* points in these days, at the most, at that confidence; towards the band */
};

/* Looks at the latest ten days of readings, and at up to twenty where ten do not show it. */
bool dry_is_flat(const struct dry_charge *charge, const struct dry_rule *rule, double now, struct dry_flat *flat);

#endif
