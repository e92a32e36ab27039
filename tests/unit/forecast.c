/* Forecasts: they narrow, are the same again, and know nothing of what comes; the plain rival. */
#include "dry/forecast.h"
#include "base/parallel.h"
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

/* What is left out of the time in which nothing changes changes no answer: asked three years after the last reading. */
static void long_still(void)
{
	struct dry_charge charge = charge_made(0.11, 3);
	struct dry_prior prior;
	struct dry_forecast held[2], seen[2];
	double day[] = { 12, 1100, 1130 }, mc[2][3];

	dry_prior_init(&prior);
	for (int i = 0; i < 2; i++) {
		struct dry_fit fit;

		charge.still = i ? dry_still_at(&charge, 1100) : charge.still;
		dry_fit(&charge, &prior, 1100, &fit);
		dry_curve(&charge, &fit, 0, day, 3, mc[i]);
		dry_forecast(&charge, &prior, &fit, &plain, 1, &held[i], &seen[i]);
		dry_fit_release(&fit);
	}
	CHECK(charge.still.days > 600);
	for (int i = 0; i < 3; i++)
		CHECK_NEAR(mc[1][i], mc[0][i], 1e-9);
	CHECK(held[1].median == held[0].median); /* both may be infinite */
	for (int i = 0; i < DRY_HORIZON + 2; i++) {
		CHECK_NEAR(held[1].share[i], held[0].share[i], 1e-9);
		CHECK_NEAR(seen[1].share[i], seen[0].share[i], 1e-9);
	}
	dry_prior_release(&prior);
}

/* In a piece of parallel work a forecast has one thread, else all cores. */
struct asked {
	const struct dry_charge *charge;
	const struct dry_prior *prior;
	struct dry_forecast f[2];
};

static void ask(void *context, size_t i)
{
	struct asked *a = context;

	foreseen(a->charge, a->prior, 9, &a->f[i]);
}

static void of_any_threads(void)
{
	struct dry_charge charge = charge_made(0.12, 1);
	struct dry_prior prior;
	struct asked a = { .charge = &charge, .prior = &prior };

	dry_prior_init(&prior);
	parallel_run(&(struct parallel){ .work = ask, .context = &a }, 1, 1);
	ask(&a, 1);
	CHECK(a.f[0].share[DRY_HORIZON + 1] < 0.5);
	for (int i = 0; i < DRY_HORIZON + 2; i++)
		CHECK_NEAR(a.f[1].share[i], a.f[0].share[i], 0);
	dry_prior_release(&prior);
}

static void rivals(void)
{
	struct dry_reading a[] = { { 0, 20, DRY_AT, 1, 20 }, { 2, 18, DRY_AT, 1, 18 }, { 4, 19, DRY_AT, 1, 19 } };
	struct dry_probe one = { a, 2, 1, 0, INFINITY, true, false };
	struct dry_charge charge = { &one, 1, air, 3, 1, 1, INFINITY, { 0, 0 } };

	CHECK_NEAR(dry_by_line(&charge, &plain, 2), 2 + 7.8 + 1, 1e-9); /* to 10.2 at a point a day, and the second reading */
	CHECK(isinf(dry_by_line(&charge, &plain, 0)));
	one.n = 3;
	CHECK(isinf(dry_by_line(&charge, &plain, 4)));
}

int main(void)
{
	narrows();
	long_still();
	of_any_threads();
	rivals();
	return check_end();
}
