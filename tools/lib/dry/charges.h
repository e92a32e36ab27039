/*
 * charges.h - the charges of a book, put as the drying model (model.h) takes them.
 *
 * Lines are handed in in any order; charges_settle() puts them in that of time. Readings are
 * corrected by the house's rule of their day (meter.h); one at which the meter is not to
 * be trusted has two and a half times the noise, an uncorrected one one and a half times. Beside the probes
 * that stay in, other evidence joins in, each as a probe that the house rule does not look at:
 *
 *	oven     a piece's moisture from its wet and dry mass
 *	random   a reading of a piece taken out of the stack
 *	weighed  a sample's moisture, from its mass and its oven-dry mass; that comes from its sections'
 *	         moisture (oven lines with its label), else from a probe of its label, on the day of its
 *	         first weighing
 *	load     the load's moisture, from its whole mass and its first mass; at the first mass the
 *	         moisture is the probes' mean
 *
 * The air is what was measured in the kiln, with the offsets that checks of its instruments showed
 * (air_book.h), and its set points from the moment they were set until the next measurement. A kiln
 * without any of these is assumed to have an EMC at the low end of the band.
 */
#ifndef WITHY_CHARGES_H
#define WITHY_CHARGES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "air/air_book.h"
#include "dry/kiln_air.h"
#include "dry/readiness.h"

struct dry_raw;

enum dry_source { DRY_PROBE, DRY_OVEN, DRY_RANDOM, DRY_WEIGHED, DRY_LOAD };

/* One reading as it was written, beside each dry_reading. */
struct dry_written {
	int64_t utc_s, raw;        /* raw in 0.0001 % */
	bool corrected;
	bool lacks_wood;           /* not so, for the temperature of the wood is missing, which the meter's rule needs */
};

/* Where a probe is. */
struct dry_place {
	enum dry_source source;
	struct slice label, piece; /* empty where there is none */
	struct dry_written *written;
};

struct dry_case {
	struct slice id, kiln;
	const struct dry_weather **weather; /* of which each piece of the charge's air is; NULL for what is taken */
	int64_t load_s, end_s;     /* end_s is INT64_MAX while it is open */
	int64_t pieces;            /* that were loaded */
	int64_t held;              /* that are in it at the end of the day of the answer; for the caller to set */
	struct dry_charge charge;
	struct dry_place *place;   /* of each probe */
	struct dry_probe *probe;
	struct dry_raw *raw;       /* what came in; of charges_internal.h */
	size_t nraw, raw_cap;
};

struct charges {
	const struct house *house;
	const struct zone *zone;   /* the works' clock */
	struct intern ids;
	struct air_book air;       /* what was measured in all places, and the checks of the instruments */
	struct dry_case *cases;    /* after settling, in the order of loading */
	size_t n, cap;
	uint32_t *case_at;         /* by number of `ids`: the case of that id, as index + 1, or 0 */
	size_t case_at_cap;
	struct dry_climates climates;
	struct dry_rule rule;
	bool has_rule;
	double target;             /* points */
};

/* By the works' clock `zone`, which must last. */
void charges_init(struct charges *b, const struct house *house, const struct zone *zone);
void charges_release(struct charges *b);

/* Takes a good line in; those of other events are passed over. */
void charges_add(struct charges *b, const struct line *l, int64_t utc_s);

/*
 * Says that a charge held no piece any more from then on; INT64_MAX: that it holds pieces. The last call counts. Before
 * settling; a charge not known is passed over.
 */
void charges_end(struct charges *b, struct slice charge, int64_t utc_s);

void charges_settle(struct charges *b);

struct dry_case *charges_case(const struct charges *b, struct slice id); /* or NULL */

/* The day of an instant on the works' clock, and the instant at which a day there is over. */
int32_t charges_day(const struct charges *b, int64_t utc_s);
int64_t charges_day_end(const struct charges *b, int32_t day);

/* Days since loading; INFINITY for INT64_MAX. */
double dry_case_day(const struct dry_case *c, int64_t utc_s);

#endif
