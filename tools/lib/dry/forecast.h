/*
 * forecast.h - when a charge will be ready: trials of what may come, and a plain rival.
 *
 * Pure like the model: random draws come from a seed that the caller gives.
 */
#ifndef WITHY_FORECAST_H
#define WITHY_FORECAST_H

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
 * The plain rival: the last probe to come under the band's upper edge by the line through its last two
 * readings. INFINITY where that has no answer.
 */
double dry_by_line(const struct dry_charge *charge, const struct dry_rule *rule, double now);

#endif
