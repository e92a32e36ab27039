/* The air to come: which step stays, and how an earlier charge is followed. */
#include <math.h>

#include <gsl/gsl_randist.h>

#include "math/dice.h"
#include "dry/lead.h"
#include "dry/observed.h"
#include "dry/prior.h"
#include "dry/readiness.h"
#include "charge_made.h"
#include "check.h"

/* Of 4,000 draws, with four steps in a thousand days: one in a hundred is a step at 0 off; the further out, the more are. */
static int steps(double off, bool tails, double day)
{
	struct dice dice = { .state = 3 };
	int n = 0;

	for (int i = 0; i < 4000; i++)
		n += lead_is_step(off, 0.5, tails, 0.004 * day, &dice);
	return n;
}

/* The chance of a step by the densities of GSL: of a step of a point and a half, and of what fades, half a point. */
static double likely(double off, bool tails, double before)
{
	double fades = tails ? gsl_ran_tdist_pdf(off / 0.5, 4) / 0.5 : gsl_ran_gaussian_pdf(off, 0.5);
	double odds = before * gsl_ran_gaussian_pdf(off, sqrt(0.5 * 0.5 + 1.5 * 1.5)) / fades;

	return odds / (1 + odds);
}

static void stays(void)
{
	for (int tails = 0; tails < 2; tails++) {
		CHECK_CASE(tails);
		CHECK(steps(0, tails, 7) < 4000 * 0.02);
		CHECK(steps(0.5, tails, 7) < 4000 * 0.04);
		CHECK_NEAR(steps(2.5, tails, 7), 4000 * likely(2.5, tails, 0.028), 4000 * 0.02);
		CHECK_NEAR(steps(4, tails, 14), 4000 * likely(4, tails, 0.056), 4000 * 0.02);
		CHECK(steps(-2.5, tails, 7) == steps(2.5, tails, 7));
		CHECK(steps(1.5, tails, 14) > 1.2 * steps(1.5, tails, 7));
	}
	CHECK_CASE(-1);
}

/* A charge of 21 readings in that air, and a past that is the caller's. */
struct made {
	struct dry_charge charge;
	struct dry_prior prior;
	struct dry_fit fit;
	struct lead_plan plan;
};

static void made_init(struct made *m, const struct dry_air *in, struct dry_past *past)
{
	*m = (struct made){ .charge = charge_made(0.1, 1) };
	m->charge.air = in;
	m->charge.nair = 1;
	dry_prior_init(&m->prior);
	dry_fit(&m->charge, &m->prior, 8, &m->fit);
	m->prior.past = past;
	m->prior.ncharges = past ? 1 : 0;
	for (int i = 0; i < DRY_AGES; i++)
		m->prior.usual[i] = 0.3;
	lead_plan_init(&m->plan, &m->charge, &m->prior, &m->fit, &plain);
}

static void made_release(struct made *m)
{
	lead_plan_release(&m->plan);
	m->prior.past = NULL;
	m->prior.ncharges = 0;
	dry_fit_release(&m->fit);
	dry_prior_release(&m->prior);
}

/* The earlier charge's EMC fell from 14 to 8; this one's, two points higher, does so two points higher. */
static void follows(void)
{
	enum { N = 60 };
	static double mean[N + 1], temp[N], me[N];
	struct dry_past past = { N, mean, temp, me, 0 };
	struct dry_air damp = { 0, 30, 16, false };
	struct dice dice = { .state = 1 };
	struct made m;
	struct lead l;

	for (int i = 0; i <= N; i++)
		mean[i] = 25 - 0.25 * i;
	for (int i = 0; i < N; i++) {
		temp[i] = 30;
		me[i] = i < 30 ? 14 : 8;
	}
	made_init(&m, &damp, &past);
	CHECK_NEAR(m.plan.me_level[0], 2, 1e-9);
	do
		lead_start(&l, &m.plan, 0, 0, &dice);
	while (!l.past || l.me_level == 0);
	CHECK_NEAR(l.me_pct, 16, 1e-9);
	lead_on(&l, 10.5);
	for (int i = 0; i < 20; i++)
		lead_on(&l, 10.5);
	CHECK_NEAR(l.me_pct, 10, 0.01);
	made_release(&m);
}

/* Where the EMC ends of a kiln that is led as that earlier charge, from wet to the end; no step. */
static double ends(struct made *m, double usually)
{
	struct dice dice = { .state = 1 };
	struct lead l;

	do
		lead_start(&l, &m->plan, usually, usually, &dice);
	while (!l.past || l.me_level != 0);
	for (int i = 0; i < 60; i++)
		lead_on(&l, 8);
	return l.me_pct;
}

/* The floor of the band is 8, a fifth of it is 0.44: of a point below 8.44 half is the law's, of three and a half a quarter. */
static void settles_in_the_band(void)
{
	double mean[] = { 22, 14, 8 }, temp[] = { 30, 30 }, me[] = { 12, 9 };
	struct dry_past past = { 2, mean, temp, me, 0 };
	struct dry_air dry = { 0, 30, 12, false };
	struct made m;

	made_init(&m, &dry, &past);
	m.plan.me_level[0] = 0;
	CHECK_NEAR(ends(&m, 0), 9, 1e-6);
	CHECK_NEAR(ends(&m, -0.56), 9, 1e-6);
	CHECK_NEAR(ends(&m, -1.56), 9.5, 1e-6);
	CHECK_NEAR(ends(&m, -4.06), 9 + 3.5 / 13.25, 1e-6);
	made_release(&m);
}

/* The head of the band is 10.2: at 9.76, a fifth below it, the wood settles that would have above it, but not before that charge's end. */
static void comes_into_the_band(void)
{
	double mean[] = { 22, 14, 8 }, temp[] = { 30, 30 }, me[] = { 12, 9 };
	struct dry_past past = { 2, mean, temp, me, 0 };
	struct dry_air dry = { 0, 30, 12, false };
	struct dice dice = { .state = 1 };
	struct made m;
	struct lead l;

	made_init(&m, &dry, &past);
	m.plan.me_level[0] = 0;
	CHECK_NEAR(ends(&m, 0.76), 9, 1e-6);
	CHECK_NEAR(ends(&m, 1.76), 8, 1e-6);
	CHECK_NEAR(ends(&m, 4.76), 5, 1e-6);
	m.plan.at[0] = 0;
	do
		lead_start(&l, &m.plan, 4.76, 4.76, &dice);
	while (!l.past || l.me_level != 0);
	lead_on(&l, 20);
	CHECK(l.at == 0 && l.me_pct > 11);
	made_release(&m);
}

/* Without a past the wood settles in the lower part of the band, whatever the instrument reads. */
static void settles_without_a_past(void)
{
	struct dry_air dry = { 0, 30, 16, false };
	struct dice dice = { .state = 1 };
	struct made m;
	struct lead l;

	made_init(&m, &dry, NULL);
	for (int k = -2; k <= 2; k++) {
		lead_start(&l, &m.plan, k, 0, &dice);
		for (int i = 0; i < 60; i++)
			lead_on(&l, 9);
		CHECK(l.me_pct + k >= 8 && (k < 0 || l.me_pct + k <= 8 + 0.6 * 2.2));
	}
	made_release(&m);
}

int main(void)
{
	stays();
	follows();
	settles_in_the_band();
	comes_into_the_band();
	settles_without_a_past();
	return check_end();
}
