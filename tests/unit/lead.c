/* The air to come: which step stays, and how an earlier charge is followed. */
#include <math.h>

#include "math/dice.h"
#include "dry/lead.h"
#include "dry/observed.h"
#include "dry/prior.h"
#include "dry/readiness.h"
#include "charge_made.h"
#include "check.h"

/* Of 4,000 draws: one in eleven is a step at 0 off, less for its width; far out nearly all are. */
static int steps(double off)
{
	struct dice dice = { .state = 3 };
	int n = 0;

	for (int i = 0; i < 4000; i++)
		n += lead_is_step(off, 0.5, &dice);
	return n;
}

static void stays(void)
{
	CHECK(steps(0) < 4000 * 0.05);
	CHECK(steps(0.5) < 4000 * 0.1);
	CHECK(steps(2) > 4000 * 0.95);
	CHECK(steps(-2) == steps(2));
}

/* The earlier charge's EMC fell from 14 to 8; this one's, two points higher, does so two points higher. */
static void follows(void)
{
	enum { N = 60 };
	static double mean[N + 1], temp[N], me[N];
	struct dry_past past = { N, mean, temp, me, 0 };
	struct dry_charge charge = charge_made(0.1, 1);
	struct dry_air damp = { 0, 30, 16, false };
	struct dice dice = { .state = 1 };
	struct dry_prior prior;
	struct lead_plan plan;
	struct dry_fit fit;
	struct lead l;

	for (int i = 0; i <= N; i++)
		mean[i] = 25 - 0.25 * i;
	for (int i = 0; i < N; i++) {
		temp[i] = 30;
		me[i] = i < 30 ? 14 : 8;
	}
	charge.air = &damp;
	charge.nair = 1;
	dry_prior_init(&prior);
	dry_fit(&charge, &prior, 8, &fit);
	prior.past = &past;
	prior.ncharges = 1;
	for (int i = 0; i < DRY_AGES; i++)
		prior.usual[i] = 0.3;
	lead_plan_init(&plan, &charge, &prior, &fit, &plain);
	CHECK_NEAR(plan.me_level[0], 2, 1e-9);
	lead_start(&l, &plan, &dice);
	CHECK_NEAR(l.me_pct, 16, 1e-9);
	lead_on(&l, 10.5);
	for (int i = 0; i < 20; i++)
		lead_on(&l, 10.5);
	CHECK_NEAR(l.me_pct, 10, 0.01);
	lead_plan_release(&plan);
	prior.past = NULL;
	prior.ncharges = 0;
	dry_fit_release(&fit);
	dry_prior_release(&prior);
}

int main(void)
{
	stays();
	follows();
	return check_end();
}
