/* What a reading not yet taken would tell: against the normal law's own answer, and on a charge that is made. */
#include "dry/next_reading.h"

#include <stdlib.h>

#include "charge_made.h"
#include "check.h"
#include "dry/forecast.h"
#include "dry/model.h"
#include "dry/prior.h"

enum { N = 800 };

/* Standard normal quantiles of 95 % and 75 % (any table). */
static const double Z95 = 1.6449, Z75 = 0.6745;

/* Trials whose day follows a normal signal: quantiles of even steps, in a mixed order, so that no draw is luck. */
static void lay_out(double *signal, int *held, double sd)
{
	for (int i = 0; i < N; i++) {
		double part = (i * 7 % N + 0.5) / N, z = 0;

		for (int k = 0; k < 40; k++) /* Newton on the normal distribution */
			z -= (0.5 * erfc(-z / sqrt(2)) - part) / (exp(-z * z / 2) / sqrt(8 * atan(1)));
		signal[i] = sd * z;
		held[i] = (int)lround(60 + 8 * z);
	}
}

/*
 * A normal mean with a normal reading: whatever is read, the posterior standard deviation is the prior's times
 * sqrt(noise^2 / (noise^2 + var)) (Raiffa and Schlaifer 1961, preposterior analysis; from memory). The day is a line of it, so
 * its ranges shrink by the same.
 */
static void as_normal_law(void)
{
	static const double NOISES[] = { 0.25, 0.5, 1, 2, 100 };
	double signal[N];
	int held[N];
	struct next_width now, after;

	lay_out(signal, held, 1);
	now = next_width_now(held, N);
	CHECK_NEAR(now.days90, 2 * Z95 * 8, 0.3);
	CHECK_NEAR(now.days50, 2 * Z75 * 8, 0.3);
	CHECK_NEAR(now.open90, 0, 0);
	for (size_t i = 0; i < sizeof NOISES / sizeof *NOISES; i++) {
		double noise = NOISES[i], shrinks = sqrt(noise * noise / (noise * noise + 1));

		CHECK_CASE(i);
		after = next_width_after(held, signal, N, noise);
		CHECK_NEAR(after.days90, now.days90 * shrinks, 0.04 * now.days90);
		CHECK_NEAR(after.days50, now.days50 * shrinks, 0.04 * now.days50);
	}
}

/* Never is counted up to the horizon; what tells it apart closes the range. */
static void without_an_end(void)
{
	double signal[N];
	int held[N];
	struct next_width now, after;

	for (int i = 0; i < N; i++) {
		bool never = i % 5 == 0;

		held[i] = never ? DRY_HORIZON + 1 : 20;
		signal[i] = never ? 10 : 0;
	}
	now = next_width_now(held, N);
	after = next_width_after(held, signal, N, 0.1);
	CHECK_NEAR(now.open90, 1, 0);
	CHECK_NEAR(now.days90, DRY_HORIZON + 0.5 - (19.5 + 0.05 / 0.8), 1e-9);
	CHECK_NEAR(after.open90, 0.2, 0.05);
}

/* The trials are those that the forecast counts. */
static void trials_of_forecast(const struct dry_trials *t, const struct dry_forecast *f)
{
	double share[DRY_HORIZON + 2] = { 0 };

	CHECK_INT(t->n, DRY_DRAWS);
	for (size_t i = 0; i < t->n; i++)
		share[t->held[i]]++;
	for (int day = 1; day <= DRY_HORIZON + 1; day++)
		CHECK_NEAR(share[day] / DRY_DRAWS, f->share[day], 0);
}

static const struct next_reading *find(const struct next_readings *next, enum next_kind kind, size_t at, size_t count)
{
	for (size_t i = 0; i < next->n; i++)
		if (next->reading[i].kind == kind && next->reading[i].probe == at && (!count || next->reading[i].count == count))
			return &next->reading[i];
	return NULL;
}

static void of_a_charge(void)
{
	struct dry_charge charge = charge_made(0.12, 1);
	struct dry_forecast held, seen;
	struct next_readings next, fewer;
	struct dry_trials trials;
	struct dry_prior prior;
	struct dry_fit fit;

	dry_prior_init(&prior);
	dry_fit(&charge, &prior, 9, &fit);
	dry_forecast(&charge, &prior, &fit, &plain, 42, &held, &seen);
	dry_forecast_trials(&charge, &prior, &fit, &plain, 42, &trials);
	trials_of_forecast(&trials, &held);
	next_readings_init(&next, &trials, 0.5, 12);
	CHECK_INT(next.n, PIECES + 3 + 2); /* 1, 3 and 10 by hand; each probe once, and daily */
	CHECK_NEAR(next.now.days90, held.high90 - held.low90, 1.5); /* whole days */
	for (size_t i = 0; i < next.n; i++)
		CHECK(next.reading[i].kind == NEXT_BY_HAND || next.reading[i].day > 0); /* the probes were read on that day */
	CHECK(find(&next, NEXT_EVERY, 0, PIECES)->after.days90 < next.now.days90);
	CHECK(find(&next, NEXT_BY_HAND, 0, 1)->after.days90 > find(&next, NEXT_EVERY, 0, PIECES)->after.days90);
	for (size_t p = 0; p < PIECES; p++)
		CHECK(find(&next, NEXT_EVERY, 0, PIECES)->after.days90 < find(&next, NEXT_PROBE, p, 1)->after.days90);
	CHECK(find(&next, NEXT_DAILY, 0, 0)->after.days90 < next.now.days90);
	next_readings_init(&fewer, &trials, 0, 0);
	CHECK(find(&fewer, NEXT_BY_HAND, 0, 0) == NULL);
	CHECK_INT(find(&fewer, NEXT_DAILY, 0, 0)->day, 0);
	next_readings_release(&fewer);
	next_readings_release(&next);
	dry_trials_release(&trials);
	dry_fit_release(&fit);
	dry_prior_release(&prior);
}

/* Without a probe there is nothing to read. */
static void of_no_probe(void)
{
	struct dry_charge charge = { NULL, 0, air, 3, 1, 1, INFINITY, { 0, 0 } };
	struct next_readings next;
	struct dry_trials trials;
	struct dry_prior prior;
	struct dry_fit fit;

	dry_prior_init(&prior);
	dry_fit(&charge, &prior, 3, &fit);
	dry_forecast_trials(&charge, &prior, &fit, &plain, 42, &trials);
	next_readings_init(&next, &trials, 0.5, 12);
	CHECK_INT(next.n, 0);
	CHECK(!next.narrows);
	next_readings_release(&next);
	dry_trials_release(&trials);
	dry_fit_release(&fit);
	dry_prior_release(&prior);
}

int main(void)
{
	as_normal_law();
	without_an_end();
	of_a_charge();
	of_no_probe();
	return check_end();
}
