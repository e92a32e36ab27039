/*
 * model.h - the law (law.h) fitted to one charge: the likeliest values as of a day, and what they say.
 *
 * All is pure: the same arguments, the same bits. Each charge has its lnk, offset, gamma, beta, kappa and
 * mean start; each probe its own lnk, start and offset, spread about the charge's. A reading has noise
 * with long tails (Student's t, 4 degrees of freedom), so that a bad one pulls little; one that is off
 * the scale says "at least" or "at most"; a weak one counts less.
 */
#ifndef WITHY_MODEL_H
#define WITHY_MODEL_H

#include <stdbool.h>
#include <stddef.h>

#include "dry/law.h"
#include "math/arrow.h"

struct dry_charge;
struct dry_prior;
struct search;

/* Degrees of freedom of a reading's noise, and of what the offset drifts by. */
#define DRY_TAILS 4.0
#define DRY_DRIFT_TAILS 3.0

/* What the model shows at each reading, probe after probe, by some values; and its derivatives by those of the charge (law.h). */
struct dry_sight {
	double *mc, *slope;
	size_t nknots;             /* whose derivatives are there */
	bool known;
};

/*
 * The likeliest values as of a day, and their uncertainty: the curvature there, after arrow_root().
 * The first DRY_SHARED values are the charge's, then DRY_OWN of each probe, as deviations.
 */
struct dry_fit {
	size_t n;
	double *value;
	struct arrow curve;
	struct dry_sight sight;    /* of the values, for a search that goes on from them */
	double now;
	double knot[DRY_KNOTS];    /* of the offset's drift (law.h) */
	bool settled;              /* whether the search came to rest */
	double fallen;             /* of the objective, for tests */
	size_t step;               /* the knot at which the offset stepped; DRY_KNOTS: it did not */
	struct search *kept;       /* what dry_fit_again() needs for its next call, or NULL */
	double evidence;           /* logarithm of the chance of the readings near these values, but for what all fits of the charge and day share */
};

/* Readings and air after `now` are not looked at. The caller releases it. */
void dry_fit(const struct dry_charge *charge, const struct dry_prior *prior, double now, struct dry_fit *fit);
/* The same in no more than `steps` (DRY_FIT_STEPS: all that it takes), where the first of many fits need not be exact. */
enum { DRY_FIT_STEPS = 40 };
void dry_fit_roughly(const struct dry_charge *charge, const struct dry_prior *prior, double now, int steps, struct dry_fit *fit);
/* The same from a fit of the same charge and day on, whose values are near: quicker. For the same charge each time. */
void dry_fit_again(const struct dry_charge *charge, const struct dry_prior *prior, int steps, struct dry_fit *fit);
/*
 * The likeliest fit of the same charge and day if the offset stepped at a knot, by points rather than by what it drifts by; its evidence
 * has in it how rare that is. False, and none, where there is no such knot. The caller releases it.
 */
bool dry_fit_stepped(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, size_t knot,
	struct dry_fit *stepped);

void dry_fit_release(struct dry_fit *fit);

/* The offset on the day of the fit: what it was and what it drifted by. */
double dry_offset_now(const struct dry_fit *fit);

/* What probe `i` reads at `ndays` days (none of them before 0), by the likeliest values. */
void dry_curve(const struct dry_charge *charge, const struct dry_fit *fit, size_t i, const double *days, size_t ndays, double *mc);

/*
 * The mean moisture of the pieces that the rule looks at, at the ends of the steps from day 0 to the day of the fit, by the likeliest
 * values: one more than a grid has steps (law.h). Of pieces whose probe is out by then only if `out` is. 0 without a piece.
 */
void dry_mean_path(const struct dry_charge *charge, const struct dry_fit *fit, bool out, double *mean);

/* How far pieces spread on a day, by how they did in the past: the standard deviation of what they read, but for the noise. */
double dry_spread(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, double day);
/* The same on each of `n` days, none of them before 0. */
void dry_spreads(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const double *days, size_t n,
	double *spread);

#endif
