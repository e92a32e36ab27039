/*
 * model.h - the model of a drying charge: what is known, what earlier charges taught, when it is ready.
 *
 * Moistures are in per cent (dry basis), temperatures in degrees Celsius, times in days since the
 * charge was loaded. Readings are corrected ones. All is pure: the same arguments, the same bits;
 * random draws come from a seed that the caller gives.
 *
 * THE MODEL. What a probe feels, M, follows the wood nearer the surface, S, and S follows the air:
 *
 *	dS/dt = -kappa k (S - Me(t) - offset)        dM/dt = -k (min(M, 30) - S)
 *	k     = exp(lnk) exp(gamma (M - 15)) exp(beta (T - 30) / 10)
 *
 * Me is the equilibrium moisture of the kiln's air, stepwise (climate.h; good to a point, hence the
 * offset). kappa, 2 and more, is the lag of diffusion: the first two terms of its series for a plate; gamma lets
 * the rate change as wood dries; beta is the temperature's part. Below fibre saturation, about 30 %,
 * with gamma and beta 0 and kappa great, this is the first-order law. Each charge has its lnk, offset,
 * gamma, beta, kappa and mean start; each probe its own lnk, start and offset, spread about the
 * charge's. A reading has noise with long tails (Student's t, 4 degrees of freedom), so that a bad one
 * pulls little; one that is off the scale says "at least" or "at most"; a weak one counts less.
 *
 * The charge's values are spread over the works' charges, together, about means that are learned from the past
 * (dry_learn) on top of weak built-in ones; kilns and seasons shift lnk, and types of piece shift their
 * probes', each as far as the past bears it out. So on the first day a forecast is what the past says,
 * and it narrows with every reading.
 */
#ifndef WITHY_MODEL_H
#define WITHY_MODEL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* ---- what is known of a charge */

enum dry_mark { DRY_AT, DRY_ABOVE, DRY_BELOW };

struct dry_reading {
	double day, mc;
	enum dry_mark mark;
	double noise;              /* how many times the noise of a good reading it has, 1 and more */
	double shown;              /* what the meter showed */
};

struct dry_probe {
	const struct dry_reading *reading; /* in the order of time */
	size_t n;
	uint32_t type;             /* of the piece that it is in; 0: not known */
	double from, until;        /* while it is in; until is INFINITY if it still is */
	bool ruled;                /* the house rule looks at it; not so at a piece from the oven */
	bool scaled;               /* weighed: its moisture does not come from the meter */
};

struct dry_air {
	double day;                /* from here on, until the next */
	double temp_c, me_pct;
	bool guessed;              /* only of the first: nothing is known yet; what comes within two days holds for it too */
};

struct dry_charge {
	const struct dry_probe *probe;
	size_t nprobes;
	const struct dry_air *air; /* in the order of time */
	size_t nair;               /* 1 at least */
	uint32_t kiln, season;     /* numbers of the caller's, 0: not known */
	double end;                /* when it was emptied; INFINITY while it is open */
};

/* ---- what the past taught */

enum { DRY_LNK, DRY_OFFSET, DRY_GAMMA, DRY_BETA, DRY_LNKAPPA, DRY_SURFACE, DRY_START, DRY_SHARED };
enum { DRY_OWN_LNK, DRY_OWN_START, DRY_OWN_OFFSET, DRY_OWN };

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
	double *mean, *temp_c, *me_pct;
	double rests;              /* the offset that was fitted to it */
};

struct dry_prior {
	size_t ncharges;           /* that it was learned from */
	double mean[DRY_SHARED];   /* of a new charge, whose */
	double between[DRY_SHARED * DRY_SHARED]; /* covariances of charges about the works' means; with what is not */
	double covariance[DRY_SHARED * DRY_SHARED]; /* known of the means added */
	double own[DRY_OWN];       /* variances between probes */
	double noise, scatter;     /* of a good reading: scale of its t distribution, and its plain sd */
	struct dry_groups kiln, season, type;
	struct dry_past *past;
	bool by_time;              /* kilns are led by the days that passed, not by moisture */
	double drift;              /* sd of what the logarithm of k yet does that no reading has shown */
};

/* The built-in one: what willow in a dehumidifier does by common practice, widely spread. */
void dry_prior_init(struct dry_prior *prior);
void dry_prior_release(struct dry_prior *prior);

/* Learns from `n` charges that are over: all that was read of them. Order does not matter. */
void dry_learn(struct dry_prior *prior, const struct dry_charge *const *past, size_t n);

/* ---- a charge fitted */

/*
 * The likeliest values as of a day, and their uncertainty: the root (least_squares.h) of the curvature there.
 * The first DRY_SHARED values are the charge's, then DRY_OWN of each probe, as deviations.
 */
struct dry_fit {
	size_t n;
	double *value, *root;
	double now;
	bool settled;              /* whether the search came to rest */
	double fallen;             /* of the objective, for tests */
};

/* Readings and air after `now` are not looked at. The caller releases it. */
void dry_fit(const struct dry_charge *charge, const struct dry_prior *prior, double now, struct dry_fit *fit);
void dry_fit_release(struct dry_fit *fit);

/* What probe `i` reads at `ndays` days (none of them before 0), by the likeliest values. */
void dry_curve(const struct dry_charge *charge, const struct dry_fit *fit, size_t i, const double *days, size_t ndays, double *mc);

/* How far pieces spread on a day, by how they did in the past: the standard deviation of what they read, but for the noise. */
double dry_spread(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, double day);

/*
 * The first-order rate of the piece of probe i, in 1/day: what it lost from where it was below fibre
 * saturation to its last reading, over the time that it stood above where its wood rests in that air (Me +
 * offset) and how far. It is the k of the first-order law, and not the model's own, which is against the
 * surface. *factor: how uncertain it is (1 sd: times or by). NAN while nothing was lost.
 */
double dry_rate(const struct dry_charge *charge, const struct dry_fit *fit, size_t i, double *factor);

/* ---- when is it ready */

/* The house's rule, in points and days; NAN, or 0 readings, where it does not say. */
struct dry_rule {
	double low, high;          /* the band */
	int readings;              /* how many in a row */
	double hold;               /* days from the first to the last of those in band */
	double spread;             /* wettest less driest */
	double rate;               /* points a day that a probe may still lose */
	double share, sure;        /* as fractions */
};

/* What the rule has to know of a probe: its last readings. */
struct dry_run {
	double last, last_day, before, before_day;
	double since;              /* the first of those in band */
	int in_band;               /* how many in a row, up to the last */
	bool read, read_before;
};

void dry_run_take(struct dry_run *run, const struct dry_rule *rule, double day, double mc, enum dry_mark mark);

/* The parts of a rule, as bits: which of them do not hold. */
enum {
	DRY_TOO_WET = 1, DRY_TOO_DRY = 2, DRY_TOO_FEW = 4, DRY_TOO_SHORT = 8, DRY_TOO_WIDE = 16, DRY_TOO_QUICK = 32,
	DRY_UNSURE = 64, DRY_UNREAD = 128
};

/* `spread`: as dry_rule_assures() takes it; 0 where it is not known. */
unsigned dry_rule_fails(const struct dry_rule *rule, const struct dry_run *run, size_t n, double spread);

/*
 * How large a share of all pieces the n probes assure to be in band, if they were a random sample. Four that
 * happen to read alike do not show that all do: that they spread by `spread`, as pieces do (dry_spread), is
 * taken for the least.
 */
double dry_rule_assures(const struct dry_rule *rule, const struct dry_run *run, size_t n, double spread);

/*
 * The day on which the rule would hold under daily readings from `now` on: real days, of which a
 * whole day d covers d - 1/2 to d + 1/2. The ranges are the whole days that come nearest to holding 50 and
 * 90 % of the draws. INFINITY: not within DRY_HORIZON days.
 */
enum { DRY_HORIZON = 120, DRY_DRAWS = 800 };

struct dry_forecast {
	double median, low50, high50, low90, high90;
	double never;              /* share of the draws in which it was not ready within the horizon */
};

void dry_forecast(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	uint64_t seed, struct dry_forecast *forecast);

/* ---- the two plain rivals, for the same question; INFINITY where they have no answer */

/* The last probe to come under the band's upper edge by the line through its last two readings. */
double dry_by_line(const struct dry_charge *charge, const struct dry_rule *rule, double now);

/* The first day on which the rule held, by the readings that there are; INFINITY if it never did. */
double dry_ready_day(const struct dry_charge *charge, const struct dry_rule *rule);

#endif
