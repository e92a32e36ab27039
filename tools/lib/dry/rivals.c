#include "dry/rivals.h"

#include <math.h>

#include "dry/charges.h"
#include "math/turnbull.h"

/* ---- the last rate */

/* The last two readings by then that are on the scale; NULL for what is not there. */
static void last_two(const struct dry_probe *probe, double now, const struct dry_reading **before, const struct dry_reading **last)
{
	*before = *last = NULL;
	for (size_t i = 0; i < probe->n && probe->reading[i].day <= now; i++)
		if (probe->reading[i].mark == DRY_AT) {
			*before = *last;
			*last = &probe->reading[i];
		}
}

static double rate_day(const struct dry_probe *probe, const struct dry_rule *rule, double now, double emc)
{
	const struct dry_reading *a, *b;
	double k;

	last_two(probe, now, &a, &b);
	if (!b)
		return HUGE_VAL;
	if (b->mc <= rule->high)
		return b->day;
	if (!a || a->mc <= b->mc || a->day >= b->day || !(emc < rule->high))
		return HUGE_VAL;
	k = log((a->mc - emc) / (b->mc - emc)) / (b->day - a->day);
	return b->day + log((b->mc - emc) / (rule->high - emc)) / k;
}

double dry_by_rate(const struct dry_charge *charge, const struct dry_rule *rule, double now, double emc_pct)
{
	double day = now + 1;

	for (size_t p = 0; p < charge->nprobes; p++)
		if (dry_probe_counts(&charge->probe[p], now))
			day = fmax(day, rate_day(&charge->probe[p], rule, now, emc_pct) + (rule->readings > 1 ? rule->readings - 1 : 0));
	return day;
}

double dry_set_point_emc(const struct charges *charges, const struct dry_case *c, int64_t now_s, double now)
{
	const struct dry_climate *climate = dry_climates_find(&charges->climates, c->kiln);
	double emc = NAN;

	for (size_t i = 0; climate && i < climate->n && climate->weather[i].utc_s <= now_s; i++)
		if (!climate->weather[i].measured && !isnan(dry_weather_emc(&climate->weather[i], false)))
			emc = dry_weather_emc(&climate->weather[i], false);
	for (size_t i = 0; isnan(emc) && i < c->charge.nair && (i == 0 || c->charge.air[i].day <= now); i++)
		if (i + 1 == c->charge.nair || c->charge.air[i + 1].day > now)
			emc = c->charge.air[i].me_pct;
	return emc;
}

/* ---- past charges */

void dry_past_days_of(const struct day_seen *seen, const int *recorded, size_t n, struct dry_past_days *past)
{
	*past = (struct dry_past_days){ .n = n };
	for (size_t i = 0; i < n; i++)
		if (recorded[i] != DAY_UNSEEN) {
			past->mean += recorded[i];
			past->seen++;
		}
	past->mean = past->seen ? past->mean / (double)past->seen : NAN;
	turnbull(seen, n, past->share, DRY_PAST_DAYS);
}

void dry_past_odds(const struct dry_past_days *past, int day, double *share, int days)
{
	double longer = 0;

	for (int d = day + 1; d <= DRY_PAST_DAYS; d++)
		longer += past->share[d];
	for (int d = 0; d <= days + 1; d++)
		share[d] = 0;
	if (!(longer > 0)) {
		share[1] = 1;
		return;
	}
	for (int d = day + 1; d <= DRY_PAST_DAYS; d++)
		share[d - day <= days ? d - day : days + 1] += past->share[d] / longer;
}
