/*
 * prior.h - the prior from earlier charges: the beliefs about a charge before its first reading.
 *
 * The charges' values (law.h) are spread over the works' charges, together, about means that are learned from the
 * past (learn.h) on top of weak built-in ones; kilns and seasons shift lnk, and types of piece shift their
 * probes', each as far as past charges support it. So on the first day a forecast is what the past says,
 * and it narrows with every reading.
 */
#ifndef WITHY_PRIOR_H
#define WITHY_PRIOR_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "dry/gaps.h"
#include "dry/model.h"

/* Variances of lnk: among kilns and among types, a tenth either way; among seasons half of that. */
#define DRY_UNKNOWN_GROUP 0.01
#define DRY_UNKNOWN_SEASON (DRY_UNKNOWN_GROUP / 4)

/* Variance of the offset among kilns: each has an instrument of its own, good to a point. */
#define DRY_UNKNOWN_OFFSET 0.36

enum { DRY_GROUPS_MOST = 64 };

/* A kiln, a season or a type, and how far its lnk is from the works'. */
struct dry_group {
	uint32_t id;
	double shift, variance;    /* of the shift itself: how little is known of it */
};

struct dry_groups {
	struct dry_group group[DRY_GROUPS_MOST];
	size_t n;
};

/* How the air of an earlier charge went, against its mean moisture. */
struct dry_past {
	size_t n;                  /* half days */
	double *mean, *temp_c, *me_pct; /* the EMC with the offset of its kiln */
	uint32_t kiln;
};

/* Ages of a charge by which its air is judged: by the fifth day, by the tenth, and later. */
enum { DRY_AGES = 3 };

struct dry_prior {
	size_t ncharges;           /* that it was learned from */
	double mean[DRY_LEARNED];   /* of a new charge, whose */
	double between[DRY_LEARNED * DRY_LEARNED]; /* covariances of charges about the works' means; with what is not */
	double covariance[DRY_LEARNED * DRY_LEARNED]; /* known of the means added */
	double own[DRY_OWN];       /* variances between probes */
	double noise, scatter;     /* of a good reading: scale of its t distribution, and its plain sd */
	struct dry_groups kiln, season, type; /* of lnk, */
	struct dry_groups offset;  /* and of the offset, by kilns */
	struct dry_past *past;
	struct gaps gaps;          /* between readings of the earlier charges */
	double usual[DRY_AGES];    /* standard deviation of how far a charge's air is from all others' (past_air.h), in points */
	bool by_time;              /* kilns are led by the days that passed, not by moisture */
	double drift;              /* of the offset in a day: scale of its t distribution (DRY_DRIFT_TAILS), in points */
};

/*
 * What is known before any charge: of the works' means and how far they may be off, how far charges spread
 * about them, and pieces about their charge; the noise of a good reading and the drift of a day, in points.
 */
struct dry_builtin {
	double mean[DRY_LEARNED], mean_sd[DRY_LEARNED], between_sd[DRY_LEARNED];
	double own_sd[DRY_OWN];
	double noise, drift;
};

extern const struct dry_builtin dry_builtin;

/* The built-in one: what willow in a dehumidifier does by common practice, widely spread. */
void dry_prior_init(struct dry_prior *prior);
void dry_prior_release(struct dry_prior *prior);

/* Sets the covariance of a charge's values: the spread between charges plus the uncertainty of the means. */
void dry_prior_set_covariance(struct dry_prior *prior, const double *of_mean);

/* The shift of a group, 0 if it is not known; and its variance, `unknown` if it is not known. */
double dry_group_shift(const struct dry_groups *groups, uint32_t id, double unknown, double *variance);

/* The age by days since loading. */
size_t dry_age(double day);

/* The step at which an earlier charge was as wet as `mc`, from step `from` on. */
size_t dry_past_at(const struct dry_past *past, double mc, size_t from);

/* The step of an earlier charge that is like step `step` of one that then was as wet as `mc`: of as many days, or as dry, from `from` on. */
size_t dry_past_like(const struct dry_prior *prior, const struct dry_past *past, size_t step, double mc, size_t from);

#endif
