/* The model fitted to a charge: its rate, odd readings, how far pieces spread. */
#include "dry/prior.h"
#include "dry/rate.h"
#include "charge_made.h"
#include "check.h"

static void fits(void)
{
	struct dry_charge charge = charge_made(0.12, 1);
	struct dry_prior prior;
	struct dry_fit fit;
	double factor;

	dry_prior_init(&prior);
	dry_fit(&charge, &prior, DAYS, &fit);
	CHECK(fit.settled && fit.fallen > 0);
	CHECK_NEAR(dry_rate(&charge, &fit, 0, &factor), 0.12, 0.02);
	CHECK(factor > 1 && factor < 1.3);
	dry_fit_release(&fit);
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

/* The mean path is the mean of the ruled probes' curves; one that is out counts only where it is asked for. */
static void means(void)
{
	struct dry_charge charge = charge_made(0.12, 1);
	static double mean[2 * DAYS + 1];
	double day = DAYS, mc, in = 0, out;
	struct dry_prior prior;
	struct dry_fit fit;

	probe[0].ruled = false;
	probe[1].until = DAYS - 1;
	dry_prior_init(&prior);
	dry_fit(&charge, &prior, DAYS, &fit);
	dry_curve(&charge, &fit, 1, &day, 1, &out);
	for (size_t p = 2; p < PIECES; p++) {
		dry_curve(&charge, &fit, p, &day, 1, &mc);
		in += mc;
	}
	dry_mean_path(&charge, &fit, false, mean);
	CHECK_NEAR(mean[2 * DAYS], in / (PIECES - 2), 1e-9);
	dry_mean_path(&charge, &fit, true, mean);
	CHECK_NEAR(mean[2 * DAYS], (in + out) / (PIECES - 1), 1e-9);
	dry_fit_release(&fit);
	dry_prior_release(&prior);
}

/* Pieces spread less as they dry; four probes that read alike assure no more than that lets them. */
static void spreads(void)
{
	struct dry_charge charge = charge_made(0.12, 4);
	struct dry_run run[2] = { 0 };
	struct dry_prior prior;
	struct dry_fit fit;
	const double days[] = { 0, 20, DAYS + 60 };
	double early, late, on[3];

	dry_prior_init(&prior);
	dry_fit(&charge, &prior, DAYS, &fit);
	early = dry_spread(&charge, &prior, &fit, 0);
	late = dry_spread(&charge, &prior, &fit, 20);
	dry_spreads(&charge, &prior, &fit, days, 3, on);
	CHECK_NEAR(on[0], early, 1e-9);
	CHECK_NEAR(on[1], late, 1e-9);
	CHECK(on[2] < late);
	CHECK_NEAR(early, sqrt(prior.own[DRY_OWN_START]), 0.01);
	CHECK(late > 0.3 && late < 0.6 * early);
	dry_fit_release(&fit);
	for (int i = 0; i < 2; i++)
		dry_run_take(&run[i], &plain, 0, 9.1 + 0.001 * i, DRY_AT);
	CHECK(dry_rule_assures(&plain, run, 2, 0) > 0.99);
	CHECK(dry_rule_assures(&plain, run, 2, late) < 0.6);
	dry_prior_release(&prior);
}

/* As of day 22, the fits with a step at each knot: the best of them, and how much likelier it is than none. */
static size_t best_step(const struct dry_charge *charge, const struct dry_prior *prior, double *likelier, double *size)
{
	struct dry_fit fit, other;
	size_t best = DRY_KNOTS;

	dry_fit(charge, prior, 22, &fit);
	CHECK(fit.step == DRY_KNOTS);
	CHECK(!dry_fit_stepped(charge, prior, &fit, DRY_KNOTS - 1, &other)); /* day -8: no such knot */
	*likelier = -HUGE_VAL;
	for (size_t knot = 0; knot < 6; knot++) {
		if (!dry_fit_stepped(charge, prior, &fit, knot, &other))
			continue;
		CHECK(other.step == knot);
		if (other.evidence - fit.evidence > *likelier) {
			best = knot;
			*likelier = other.evidence - fit.evidence;
			*size = other.value[DRY_DRIFT + knot];
		}
		dry_fit_release(&other);
	}
	dry_fit_release(&fit);
	return best;
}

/* Wood that felt three points more of the air from day 10 on, which is knot 4: a step there is likelier by far; without one it is not. */
static void steps(void)
{
	struct dry_charge charge = charge_made(0.12, 1);
	struct dry_air damp[] = { { 0, 28, 13, false }, { 8, 30, 10, false }, { 10, 30, 13, false }, { 15, 32, 11, false } };
	struct dry_grid grid = { 0 };
	struct dry_prior prior;
	double mc[2 * DAYS + 1], likelier, size;

	dry_prior_init(&prior);
	best_step(&charge, &prior, &likelier, &size);
	CHECK(likelier < 0);
	dry_grid_set(&grid, &(struct dry_charge){ .air = damp, .nair = 4 }, DAYS, DAYS);
	for (int p = 0; p < PIECES; p++) {
		struct dry_piece piece = { .k = 0.12, .kappa = 8, .surface = 0.6, .beta = 0.25, .start = 21 + p };

		dry_path(&grid, &piece, 2 * DAYS, mc);
		for (int i = 0; i < DAYS; i++)
			reading[p][i].mc = mc[2 * i];
	}
	CHECK(best_step(&charge, &prior, &likelier, &size) == 4);
	CHECK(likelier > 2);
	CHECK_NEAR(size, 2.5, 1);
	dry_grid_release(&grid);
	dry_prior_release(&prior);
}

int main(void)
{
	fits();
	odd_readings();
	means();
	spreads();
	steps();
	return check_end();
}
