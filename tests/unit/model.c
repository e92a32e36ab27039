/* The drying model: its law against the hand-worked one, the rule part by part, fits, forecasts, signs. */
#include <math.h>
#include <stdlib.h>

#include "dry/dice.h"
#include "dry/forecast.h"
#include "dry/law.h"
#include "dry/learn.h"
#include "dry/model.h"
#include "dry/prior.h"
#include "dry/rate.h"
#include "dry/readiness.h"
#include "dry/warnings.h"
#include "check.h"

static const struct dry_rule plain = { 8, 10.2, 2, NAN, 2, NAN, NAN, 0.9 };

/*
 * Me 8, M0 28: days 0, 3, 6, 9 give 28.0, 22.0, 17.8, 14.86 with k = 0.1189 a day, and 10.0 % at 19.4 days
 * (worked by hand from the first-order law). A surface that follows at once makes the model that law.
 */
static void first_order(void)
{
	static const double day[] = { 0, 3, 6, 9, 19.4 }, want[] = { 28.0, 22.0, 17.8, 14.86, 10.0 };
	struct dry_air air = { 0, 30, 8, false };
	struct dry_grid grid = { 0 };
	struct dry_piece piece = { .k = 0.1189, .kappa = 1e6, .start = 28 };
	double mc[61];

	dry_grid_set(&grid, &air, 1, 30, 30);
	CHECK_INT(grid.n, 60);
	dry_path(&grid, &piece, 60, mc);
	for (int i = 0; i < 5; i++) {
		CHECK_CASE(i);
		CHECK_NEAR(dry_path_at(mc, 60, day[i]), want[i], 0.011);
	}
	CHECK_CASE(-1);
	piece.start = 40; /* above fibre saturation: 0.1189 * 22 points a day */
	dry_path(&grid, &piece, 60, mc);
	CHECK_NEAR(mc[0] - mc[2], 0.1189 * 22, 0.01);
	piece = (struct dry_piece){ .k = 0.1189, .kappa = 1e6, .gamma = 0.05, .start = 25 };
	dry_path(&grid, &piece, 60, mc);
	CHECK_NEAR((mc[0] - mc[1]) / 17, 1 - exp(-0.1189 * exp(0.5) / 2), 0.001); /* quicker while wet */
	dry_grid_release(&grid);
}

static void air_in_steps(void)
{
	struct dry_air air[] = { { 0, 20, 10, true }, { 0.75, 30, 14, false }, { 1.5, 40, 6, false } };
	struct dry_grid grid = { 0 };

	dry_grid_set(&grid, air, 3, 9, 2);
	CHECK_NEAR(grid.me_pct[0], 14, 1e-12); /* the first is a guess, and what comes soon holds for it */
	CHECK_NEAR(grid.me_pct[3], 6, 1e-12);
	dry_grid_set(&grid, air, 3, 1, 2); /* as of day 1 the last is not known */
	CHECK_NEAR(grid.me_pct[3], 14, 1e-12);
	dry_grid_set(&grid, air, 3, 0.5, 2); /* and as of noon of the first day nothing is */
	CHECK_NEAR(grid.me_pct[0], 10, 1e-12);
	air[0].guessed = false;
	dry_grid_set(&grid, air, 3, 9, 2);
	CHECK_NEAR(grid.me_pct[1], 12, 1e-12); /* half of it each */
	dry_grid_release(&grid);
}

static unsigned fails(const struct dry_rule *rule, const double *a, const double *b, size_t n)
{
	struct dry_run run[2] = { 0 };

	for (size_t i = 0; i < n; i++) {
		dry_run_take(&run[0], rule, (double)i, a[i], DRY_AT);
		dry_run_take(&run[1], rule, (double)i, b[i], DRY_AT);
	}
	return dry_rule_fails(rule, run, 2, 0);
}

static void rules(void)
{
	struct dry_rule rule = plain;
	struct dry_run run[2] = { 0 };

	CHECK_INT(fails(&rule, (double[]){ 10.2, 9.9 }, (double[]){ 8, 8 }, 2), 0);
	CHECK_INT(fails(&rule, (double[]){ 10.3, 9.9 }, (double[]){ 9, 9 }, 2), DRY_TOO_FEW);
	CHECK_INT(fails(&rule, (double[]){ 10, 10.3 }, (double[]){ 9, 9 }, 2), DRY_TOO_WET | DRY_TOO_FEW);
	CHECK_INT(fails(&rule, (double[]){ 9, 9 }, (double[]){ 8, 7.9 }, 2), DRY_TOO_DRY | DRY_TOO_FEW);
	CHECK_INT(fails(&rule, (double[]){ 10.2, 10.2 }, (double[]){ 8, 8.1 }, 2), DRY_TOO_WIDE);
	rule.hold = 2;
	CHECK_INT(fails(&rule, (double[]){ 10, 10 }, (double[]){ 9, 9 }, 2), DRY_TOO_SHORT);
	CHECK_INT(fails(&rule, (double[]){ 10, 10, 10 }, (double[]){ 9, 9, 9 }, 3), 0);
	rule.rate = 0.15;
	CHECK_INT(fails(&rule, (double[]){ 10, 10, 9.8 }, (double[]){ 9, 9, 9 }, 3), DRY_TOO_QUICK);
	CHECK_INT(fails(&rule, (double[]){ 10, 9.8, 9.7 }, (double[]){ 9, 9, 9 }, 3), 0);
	rule = plain;
	rule.share = 0.9; /* no two probes assure that */
	CHECK_INT(fails(&rule, (double[]){ 9.3, 9.3 }, (double[]){ 8.9, 8.9 }, 2), DRY_UNSURE);
	CHECK_INT(dry_rule_fails(&plain, run, 2, 0) & DRY_UNREAD, DRY_UNREAD);
	CHECK_INT(dry_rule_fails(&plain, run, 0, 0), DRY_UNREAD);
	for (int i = 0; i < 2; i++) /* at most 10 % is no reading in the band */
		dry_run_take(&run[i], &plain, 0, 10, DRY_BELOW);
	CHECK(dry_rule_fails(&plain, run, 2, 0) & DRY_TOO_FEW);
}

/* ---- a charge of four pieces that follow the model, with a little noise from a fixed list */

enum { DAYS = 30, PIECES = 4 };

static struct dry_reading reading[PIECES][DAYS];
static struct dry_probe probe[PIECES];
static struct dry_air air[] = { { 0, 28, 13, false }, { 8, 30, 10, false }, { 15, 32, 8, false } };

static struct dry_charge charge_made(double k, uint64_t seed)
{
	static const double start[PIECES] = { 21, 22.5, 24, 20 }, by[PIECES] = { 1, 0.9, 1.05, 1.1 };
	struct dry_dice dice = { .state = seed };
	struct dry_grid grid = { 0 };
	double mc[2 * DAYS + 1];

	dry_grid_set(&grid, air, 3, DAYS, DAYS);
	for (int p = 0; p < PIECES; p++) {
		struct dry_piece piece = { .k = k * by[p], .kappa = 8, .surface = 0.6, .beta = 0.25, .start = start[p] };

		dry_path(&grid, &piece, 2 * DAYS, mc);
		for (int i = 0; i < DAYS; i++) {
			double shown = mc[2 * i] + 0.2 * dry_dice_normal(&dice);

			reading[p][i] = (struct dry_reading){ i, shown, DRY_AT, 1, shown };
		}
		probe[p] = (struct dry_probe){ reading[p], DAYS, 1, 0, INFINITY, true, false };
	}
	dry_grid_release(&grid);
	return (struct dry_charge){ probe, PIECES, air, 3, 1, 1, INFINITY };
}

static double foreseen(const struct dry_charge *charge, const struct dry_prior *prior, double now, struct dry_forecast *f)
{
	struct dry_fit fit;

	dry_fit(charge, prior, now, &fit);
	CHECK(fit.settled);
	dry_forecast(charge, prior, &fit, &plain, 42, f);
	dry_fit_release(&fit);
	return f->median;
}

static void fits(void)
{
	struct dry_charge charge = charge_made(0.12, 1);
	struct dry_forecast early, late, again;
	struct dry_prior prior;
	struct dry_fit fit;
	double factor;

	dry_prior_init(&prior);
	dry_fit(&charge, &prior, DAYS, &fit);
	CHECK_NEAR(dry_rate(&charge, &fit, 0, &factor), 0.12, 0.02);
	CHECK(factor > 1 && factor < 1.3);
	dry_fit_release(&fit);
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

/* A bad reading pulls little; "at least 30" is information; nothing at all is the prior. */
static void odd_readings(void)
{
	struct dry_charge charge = charge_made(0.12, 2);
	struct dry_prior prior;
	struct dry_fit fit;
	double factor, sound, day = 0, mc;

	dry_prior_init(&prior);
	dry_fit(&charge, &prior, DAYS, &fit);
	sound = dry_rate(&charge, &fit, 1, &factor);
	dry_fit_release(&fit);
	reading[1][10].mc += 8;
	dry_fit(&charge, &prior, DAYS, &fit);
	CHECK_NEAR(dry_rate(&charge, &fit, 1, &factor) / sound, 1, 0.02);
	dry_fit_release(&fit);
	reading[2][0] = (struct dry_reading){ 0, 30, DRY_ABOVE, 1, 30 };
	probe[2].n = 1;
	dry_fit(&charge, &prior, 5, &fit);
	dry_curve(&charge, &fit, 2, &day, 1, &mc);
	CHECK(mc > 29.5);
	dry_fit_release(&fit);
	for (int p = 0; p < PIECES; p++)
		probe[p].n = 0;
	dry_fit(&charge, &prior, 5, &fit);
	CHECK_NEAR(fit.value[DRY_LNK], prior.mean[DRY_LNK], 1e-6);
	CHECK(isnan(dry_rate(&charge, &fit, 0, &factor))); /* none before something was read */
	CHECK_NEAR(fit.value[DRY_START], prior.mean[DRY_START], 1e-6);
	dry_fit_release(&fit);
	dry_prior_release(&prior);
}

/* Three charges of a works that dries half as fast again: the next one's prior knows. */
static void learning(void)
{
	struct dry_reading kept[3][PIECES][DAYS];
	struct dry_probe probes[3][PIECES];
	struct dry_charge past[3];
	const struct dry_charge *list[3];
	struct dry_prior none, prior;

	for (int c = 0; c < 3; c++) {
		past[c] = charge_made(0.18, 10 + (uint64_t)c);
		memcpy(kept[c], reading, sizeof reading);
		for (int p = 0; p < PIECES; p++) {
			probes[c][p] = probe[p];
			probes[c][p].reading = kept[c][p];
		}
		past[c].probe = probes[c];
		past[c].end = DAYS - 1;
		list[c] = &past[c];
	}
	dry_prior_init(&none);
	dry_prior_init(&prior);
	dry_learn(&prior, list, 3);
	CHECK_INT(prior.ncharges, 3);
	CHECK_NEAR(exp(prior.mean[DRY_LNK] + prior.kiln.group[0].shift + prior.season.group[0].shift), 0.18, 0.03);
	CHECK(prior.covariance[0] < none.covariance[0]);
	CHECK_NEAR(prior.scatter, 0.2, 0.04);
	dry_prior_release(&prior);
	dry_prior_release(&none);
}

static bool told(const struct dry_charge *charge, const struct dry_prior *prior, double now, enum dry_sign sign, size_t of)
{
	static const struct dry_rate_limit most = { -INFINITY, INFINITY, true, 1.5 };
	const struct dry_limits limits = { 9, &most, 1, 3 };
	struct dry_warning warning[32];
	struct dry_fit fit;
	bool found = false;
	size_t n;

	dry_fit(charge, prior, now, &fit);
	n = dry_warn(charge, prior, &fit, &plain, &limits, warning, 32);
	for (size_t i = 0; i < n; i++)
		found = found || (warning[i].sign == sign && warning[i].probe == of);
	dry_fit_release(&fit);
	return found;
}

static void signs(void)
{
	struct dry_charge charge = charge_made(0.12, 3);
	struct dry_prior prior;

	dry_prior_init(&prior);
	for (int sign = 0; sign < DRY_SIGNS; sign++)
		for (size_t p = 0; p < PIECES; p++) {
			CHECK_CASE(sign);
			CHECK(sign == DRY_PARTS || !told(&charge, &prior, 12, (enum dry_sign)sign, p));
		}
	CHECK_CASE(-1);
	CHECK(!told(&charge, &prior, 12, DRY_STALLS, SIZE_MAX));
	CHECK(told(&charge, &prior, 34, DRY_LOST, 0));
	reading[1][11].mc += 5;
	CHECK(told(&charge, &prior, 12, DRY_JUMPS, 1));
	reading[1][11].mc -= 5;
	reading[3][9].mc = 7.5;
	CHECK(!told(&charge, &prior, 8, DRY_UNDER_FLOOR, 3));
	CHECK(told(&charge, &prior, 29, DRY_UNDER_FLOOR, 3)); /* for its life */
	charge = charge_made(0.12, 3);
	for (int i = 6; i < 13; i++)
		reading[0][i].mc = reading[0][i].shown = 17.1;
	CHECK(told(&charge, &prior, 12, DRY_STUCK, 0));
	charge = charge_made(0.12, 3);
	for (int p = 0; p < PIECES; p++)
		for (int i = 9; i < DAYS; i++)
			reading[p][i].mc = reading[p][8].mc;
	CHECK(told(&charge, &prior, 12, DRY_STALLS, SIZE_MAX));
	charge = charge_made(0.12, 3);
	reading[2][12].mc = reading[2][11].mc - 4;
	CHECK(told(&charge, &prior, 12, DRY_HURRIES, 2));
	for (int i = 0; i < DAYS; i++)
		reading[3][i].mc -= 0.45 * i;
	CHECK(told(&charge, &prior, 16, DRY_EQUALIZE, 3) && told(&charge, &prior, 16, DRY_UNDER_FLOOR, 3));
	dry_prior_release(&prior);
}

/* Pieces spread less as they dry; four probes that read alike assure no more than that lets them. */
static void spreads(void)
{
	struct dry_charge charge = charge_made(0.12, 4);
	struct dry_run run[2] = { 0 };
	struct dry_prior prior;
	struct dry_fit fit;
	double early, late;

	dry_prior_init(&prior);
	dry_fit(&charge, &prior, DAYS, &fit);
	early = dry_spread(&charge, &prior, &fit, 0);
	late = dry_spread(&charge, &prior, &fit, 20);
	CHECK_NEAR(early, sqrt(prior.own[DRY_OWN_START]), 0.01);
	CHECK(late > 0.3 && late < 0.6 * early);
	dry_fit_release(&fit);
	for (int i = 0; i < 2; i++)
		dry_run_take(&run[i], &plain, 0, 9.1 + 0.001 * i, DRY_AT);
	CHECK(dry_rule_assures(&plain, run, 2, 0) > 0.99);
	CHECK(dry_rule_assures(&plain, run, 2, late) < 0.6);
	dry_prior_release(&prior);
}

/* The limit by band, and how fast a piece is when readings are off the scale or hours apart. */
static void pace(void)
{
	static const struct dry_rate_limit most[] = { { 30, INFINITY, false, 4 }, { 20, 30, false, 2.5 }, { -INFINITY, 12, false, 0.5 }, { -INFINITY, INFINITY, true, 1.5 } };
	struct dry_reading r[] = { { 0, 30, DRY_ABOVE, 1, 30 }, { 2, 24, DRY_AT, 1, 24 }, { 2.5, 23, DRY_AT, 1, 23 }, { 2.75, 30, DRY_ABOVE, 1, 30 } };
	struct dry_probe one = { r, 4, 1, 0, INFINITY, true, false };

	CHECK_NEAR(dry_rate_limit_at(most, 4, 40)->most, 4, 0);
	CHECK_NEAR(dry_rate_limit_at(most, 4, 30)->most, 2.5, 0); /* bands that touch: the lower */
	CHECK_NEAR(dry_rate_limit_at(most, 4, 19.9)->most, 1.5, 0); /* what no band is of */
	CHECK_NEAR(dry_rate_limit_at(most, 4, 12)->most, 0.5, 0); /* though the rest is above */
	CHECK(!dry_rate_limit_at(NULL, 0, 20) && !dry_rate_limit_at(most, 4, NAN));
	CHECK(isnan(dry_pace_of(&one, 0).rate));
	CHECK_NEAR(dry_pace_of(&one, 2).rate, 3, 1e-12); /* that much at least */
	CHECK_NEAR(dry_pace_of(&one, 2).mc, 27, 1e-12);
	CHECK_NEAR(dry_pace_of(&one, 2.6).rate, 7 / 2.5, 1e-12); /* half a day says nothing: from the first again */
	CHECK_NEAR(dry_pace_of(&one, 2.6).days, 2.5, 1e-12);
	CHECK(isnan(dry_pace_of(&one, 3).rate));
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
	CHECK(isinf(dry_ready_day(&charge, &plain)));
	for (int i = 0; i < 3; i++)
		a[i].mc = 9;
	CHECK_NEAR(dry_ready_day(&charge, &plain), 2, 0);
}

int main(void)
{
	first_order();
	air_in_steps();
	rules();
	fits();
	odd_readings();
	learning();
	signs();
	pace();
	spreads();
	rivals();
	return check_end();
}
