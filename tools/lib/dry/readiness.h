/*
 * readiness.h - the house's rule for when a charge is ready, put to readings.
 */
#ifndef WITHY_READINESS_H
#define WITHY_READINESS_H

#include <stdbool.h>
#include <stddef.h>

#include "dry/observed.h"

/* The house's rule, in points and days; NAN, or 0 readings, where it does not say. */
struct dry_rule {
	double low, high;          /* the band */
	int readings;              /* how many in a row */
	double apart;              /* days; of readings in band that are closer than this the first counts */
	double hold;               /* days from the first to the last of those in band */
	double spread;             /* wettest less driest */
	double rate;               /* points a day that a probe may still lose */
	double share, sure;        /* as fractions */
};

/* Whether a reading is in the band; one that is off the scale is not, for it leaves open where it is. */
bool dry_rule_in_band(const struct dry_rule *rule, double mc, enum dry_mark mark);

/*
 * The part of a probe that the rule needs: its last readings. A reading outside the band ends the row whenever it
 * was taken. In the band the first counts, and then each that is `apart` later than the last one that did.
 * What a probe loses is taken from a reading that is `apart` before the last.
 */
struct dry_run {
	double last, last_day, before, before_day;
	double since;              /* the first of those in band */
	double counted_day;        /* the last of them that counts */
	double group, group_day;   /* the first of the readings that are too close to be two */
	int in_band;               /* how many in a row, up to the last */
	int taken;                 /* the same, with those that were too close to count */
	bool read, read_before;
};

/* Takes the next reading in. */
void dry_run_take(struct dry_run *run, const struct dry_rule *rule, double day, double mc, enum dry_mark mark);

/* The run of a probe's readings by a day. */
struct dry_run dry_run_of(const struct dry_rule *rule, const struct dry_probe *probe, double day);

/* The parts of a rule, as bits: which of them do not hold. */
enum {
	DRY_TOO_WET = 1, DRY_TOO_DRY = 2, DRY_TOO_FEW = 4, DRY_TOO_SHORT = 8, DRY_TOO_WIDE = 16, DRY_TOO_QUICK = 32,
	DRY_UNSURE = 64, DRY_UNREAD = 128
};

/* Which parts but the share do not hold; whether all of them hold, which is known sooner. */
unsigned dry_rule_plain_fails(const struct dry_rule *rule, const struct dry_run *run, size_t n);
bool dry_rule_holds_plainly(const struct dry_rule *rule, const struct dry_run *run, size_t n);

/* The same with the share. `spread`: as dry_rule_assures() takes it; 0 where it is not known. */
unsigned dry_rule_fails(const struct dry_rule *rule, const struct dry_run *run, size_t n, double spread);

/* Whether all that is against is that readings in a row were taken too close to each other. */
bool dry_rule_rushed(const struct dry_rule *rule, const struct dry_run *run, size_t n, unsigned fails);

/*
 * How many probes at the least can assure the rule's share, of pieces that spread by `spread`: with a mean in the
 * middle of the band. 0: it asks for no share; SIZE_MAX: no number that can be worked out does.
 */
size_t dry_rule_probes(const struct dry_rule *rule, double spread);

/*
 * How large a share of all pieces the n probes assure to be in band, if they were a random sample. Four that
 * happen to read alike do not show that all do: that they spread by `spread`, as pieces do (dry_spread), is
 * taken for the least.
 */
double dry_rule_assures(const struct dry_rule *rule, const struct dry_run *run, size_t n, double spread);

/* Mean and standard deviation of the last readings. */
void dry_run_moments(const struct dry_run *run, size_t n, double *mean, double *sd);

/* The first day on which the rule held, by the readings that there are; INFINITY if it never did. */
double dry_ready_day(const struct dry_charge *charge, const struct dry_rule *rule);

#endif
