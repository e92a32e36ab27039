/*
 * forecast.h - when a charge will be ready: trials of what may come, and a plain rival.
 *
 * Pure like the model: random draws come from a seed that the caller gives.
 */
#ifndef WITHY_FORECAST_H
#define WITHY_FORECAST_H

#include <stddef.h>
#include <stdint.h>

#include "dry/charges.h"

struct dry_charge;
struct dry_fit;
struct dry_prior;
struct dry_rule;

/*
 * The day on which the rule would hold under daily readings from `now` on: real days, of which a
 * whole day d covers d - 1/2 to d + 1/2. The ranges are the whole days that come nearest to holding 50, 80 and
 * 90 % of the draws and have the median in them. INFINITY: not within DRY_HORIZON days.
 */
enum { DRY_HORIZON = 120, DRY_DRAWS = 800 };

struct dry_forecast {
	double median, low50, high50, low80, high80, low90, high90;
	double never;              /* share of the draws in which it was not ready within the horizon */
	double share[DRY_HORIZON + 2]; /* of the draws, by days from now, from 1 on; the last: not within the horizon */
};

/*
 * `held`: under readings on every day. `seen`: under readings as far apart as those of this charge and of earlier
 * ones were (gaps.h), which are part of those of every day. Who reads when the rule would hold dries the wood no further.
 */
void dry_forecast(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	uint64_t seed, struct dry_forecast *held, struct dry_forecast *seen);

/*
 * The trials that dry_forecast() counts, draw for draw, with what the wood is in each of them, of whatever the rule then says: now,
 * and on the next days.
 */
enum { DRY_TRIAL_DAYS = 5 };

struct dry_trials {
	size_t n;                  /* DRY_DRAWS; 0 where the rule looks at no probe */
	int *held, *seen;          /* of each: in how many days, DRY_HORIZON + 1 for not within them */
	double *mc;                /* of each, of each day, of each of these probes and then of a piece like its charge (dry_trials_mc) */
	size_t nprobes, *probe;    /* that count, as indexes of the charge's */
	double *noise;             /* standard deviation of a reading of each that is as good as its last one */
	double *age;               /* days since that; INFINITY without one */
	double by_hand;            /* standard deviation of a good reading */
	double spread[DRY_TRIAL_DAYS]; /* of pieces (dry_spread) */
};

/* Without a probe that counts only `n` and `nprobes`, 0, are of use. The caller releases it. */
void dry_forecast_trials(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	uint64_t seed, struct dry_trials *trials);
void dry_trials_release(struct dry_trials *trials);

/* The moisture of the i-th of these probes in a trial so many days from now; of nprobes that of a piece like its charge. */
static inline double dry_trials_mc(const struct dry_trials *t, size_t trial, int day, size_t i)
{
	return t->mc[(trial * DRY_TRIAL_DAYS + (size_t)day) * (t->nprobes + 1) + i];
}

/*
 * The plain rival: the last probe to come under the band's upper edge by the line through its last two
 * readings. INFINITY where that has no answer.
 */
double dry_by_line(const struct dry_charge *charge, const struct dry_rule *rule, double now);

#endif
