/* Forecasts: they narrow, are the same again, and know nothing of what comes; the plain rival. */
#include "dry/forecast.h"
#include "dry/prior.h"
#include "charge_made.h"
#include "check.h"

static double foreseen(const struct dry_charge *charge, const struct dry_prior *prior, double now, struct dry_forecast *f)
{
	struct dry_forecast seen;
	struct dry_fit fit;

	dry_fit(charge, prior, now, &fit);
	CHECK(fit.settled);
	dry_forecast(charge, prior, &fit, &plain, 42, f, &seen);
	dry_fit_release(&fit);
	return f->median;
}

static void narrows(void)
{
	struct dry_charge charge = charge_made(0.12, 1);
	struct dry_forecast early, late, again;
	struct dry_prior prior;

	dry_prior_init(&prior);
	foreseen(&charge, &prior, 5, &early);
	CHECK_NEAR(fmod(early.low50, 1), 0.5, 1e-9); /* whole days */
	CHECK_NEAR(fmod(early.high90, 1), 0.5, 1e-9);
	CHECK(early.low90 < early.low50 && early.low50 < early.median && early.median < early.high50 && early.high50 < early.high90);
	CHECK(foreseen(&charge, &prior, 14, &late) > 14);
	CHECK(late.high90 - late.low90 < early.high90 - early.low90); /* it narrows */
	foreseen(&charge, &prior, 14, &again);
	CHECK(again.median == late.median && again.low90 == late.low90);
	for (int p = 0; p < PIECES; p++) /* what comes after is not looked at */
		for (int i = 15; i < DAYS; i++)
			reading[p][i].mc = 50;
	air[2].me_pct = 20;
	foreseen(&charge, &prior, 14, &again);
	CHECK(again.median == late.median && again.low90 == late.low90 && again.high90 == late.high90);
	air[2].me_pct = 8;
	dry_prior_release(&prior);
}

static void rivals(void)
{
	struct dry_reading a[] = { { 0, 20, DRY_AT, 1, 20 }, { 2, 18, DRY_AT, 1, 18 }, { 4, 19, DRY_AT, 1, 19 } };
	struct dry_probe one = { a, 2, 1, 0, INFINITY, true, false };
	struct dry_charge charge = { &one, 1, air, 3, 1, 1, INFINITY };

	CHECK_NEAR(dry_by_line(&charge, &plain, 2), 2 + 7.8 + 1, 1e-9); /* to 10.2 at a point a day, and the second reading */
	CHECK(isinf(dry_by_line(&charge, &plain, 0)));
	one.n = 3;
	CHECK(isinf(dry_by_line(&charge, &plain, 4)));
}

int main(void)
{
	narrows();
	rivals();
	return check_end();
}
