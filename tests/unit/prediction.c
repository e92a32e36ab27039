/*
 * What a fit says of the next observation: where nothing can be said, where nothing scatters, and how often what it says
 * comes true. The figures themselves are held beside R in tests/outside/weigh.c.
 */
#include <math.h>

#include "math/prediction.h"
#include "check.h"
#include "thrown.h"

/* Of unit spread: twelve uniform ones less six. */
static double about_normal(void)
{
	double sum = -6;

	for (int i = 0; i < 12; i++)
		sum += thrown_share();
	return sum;
}

static struct fit fit_of(const double *x, const double *y, size_t n)
{
	double rows[2 * 64];
	struct fit fit;

	for (size_t i = 0; i < n; i++) {
		rows[2 * i] = 1;
		rows[2 * i + 1] = x[i];
	}
	fit_line(rows, y, n, 2, &fit);
	return fit;
}

static void check_nothing(void)
{
	static const double x[] = { 1, 2, 3 }, same[] = { 2, 2, 2 }, y[] = { 1, 2, 4 };
	static const double at[] = { 1, 5 };
	struct fit two = fit_of(x, y, 2), loose = fit_of(same, y, 3), good = fit_of(x, y, 3);
	struct prediction p = prediction_at(&two, at);

	CHECK(isnan(p.value) && isnan(prediction_chance(&p, 0, 9)));
	p = prediction_at(&loose, at);
	CHECK(isnan(p.value));
	CHECK(isnan(fit_residual_at(&two, at, 1).residual));
	CHECK(isnan(fit_gain_of(&good, &good).p));
	CHECK(isnan(fit_gain_of(&two, &good).p));
	CHECK(isnan(fit_residual_at(&good, (const double[]){ 1, 1 }, 1).deleted)); /* no degree left */
}

/* All on the line: what it says is sure, and a gain over it cannot be told. */
static void check_exact(void)
{
	static const double x[] = { 1, 2, 3, 4 }, y[] = { 0, 0, 0, 0 };
	struct fit fit = fit_of(x, y, 4);
	struct prediction p = prediction_at(&fit, (const double[]){ 1, 9 });

	CHECK_NEAR(p.value, 0, 0);
	CHECK_NEAR(prediction_chance(&p, 0, 1), 1, 0);
	CHECK_NEAR(prediction_chance(&p, 1, 2), 0, 0);
}

static void check_ends(void)
{
	static const double x[] = { 1, 2, 3, 4, 5 }, y[] = { 1, 3, 2, 5, 4 };
	struct fit fit = fit_of(x, y, 5);
	struct prediction p = prediction_at(&fit, (const double[]){ 1, 3 });

	CHECK_NEAR(prediction_chance(&p, -INFINITY, INFINITY), 1, 1e-12);
	CHECK_NEAR(prediction_chance(&p, -INFINITY, p.value), 0.5, 1e-12);
	CHECK_NEAR(prediction_chance(&p, p.value, INFINITY), 0.5, 1e-12);
	CHECK_NEAR(prediction_bound(&p, 0.5), p.value, 1e-9);
	CHECK_NEAR(prediction_chance(&p, prediction_bound(&p, 0.05), prediction_bound(&p, 0.95)), 0.9, 1e-9);
	CHECK_NEAR(prediction_chance(&p, 5, 4), 0, 0);
}

/* Of 4000 works with 12 pairs: the range for nine in ten holds nine in ten new bats; chances add up to what happens. */
static void check_honest(void)
{
	enum { WORKS = 4000, PAIRS = 12 };
	double held = 0, expected = 0, landed = 0;

	for (int w = 0; w < WORKS; w++) {
		double x[PAIRS], y[PAIRS], blank = 1600 + 120 * about_normal(), bat = 372 + 0.505 * blank + 20 * about_normal();
		struct prediction p;
		struct fit fit;

		for (int i = 0; i < PAIRS; i++) {
			x[i] = 1600 + 80 * about_normal();
			y[i] = 372 + 0.505 * x[i] + 20 * about_normal();
		}
		fit = fit_of(x, y, PAIRS);
		p = prediction_at(&fit, (const double[]){ 1, blank });
		held += prediction_bound(&p, 0.05) <= bat && bat <= prediction_bound(&p, 0.95);
		expected += prediction_chance(&p, 1160, 1190);
		landed += bat >= 1160 && bat <= 1190;
	}
	CHECK_NEAR(held / WORKS, 0.9, 4 * sqrt(0.9 * 0.1 / WORKS));
	CHECK_NEAR(landed / WORKS, expected / WORKS, 4 * sqrt(0.25 * 0.75 / WORKS));
}

int main(void)
{
	thrown_seed = 20270101;
	check_nothing();
	check_exact();
	check_ends();
	check_honest();
	return check_end();
}
