/* Days between readings: each visit once, this charge's more than the past's, and none that is over already. */
#include "math/dice.h"
#include "dry/gaps.h"
#include "dry/observed.h"
#include "dry/prior.h"
#include "check.h"

static struct dry_reading first[] = { { 0, 20, DRY_AT, 1, 20 }, { 3, 18, DRY_AT, 1, 18 }, { 3.1, 18, DRY_AT, 1, 18 }, { 7, 16, DRY_AT, 1, 16 } };
static struct dry_reading second[] = { { 0.2, 20, DRY_AT, 1, 20 }, { 5, 17, DRY_AT, 1, 17 } };
static struct dry_probe probe[] = { { .reading = first, .n = 4, .until = 99, .ruled = true }, { .reading = second, .n = 2, .until = 99, .ruled = true },
	{ .reading = second, .n = 2, .until = 99 } };
static const struct dry_charge charge = { .probe = probe, .nprobes = 3 };

static void counts(void)
{
	struct gaps g = { 0 };

	gaps_add(&g, &charge, 6, 1); /* visits on days 0, 3 and 5 */
	CHECK_INT(g.n, 2);
	CHECK_NEAR(g.day[0], 3, 1e-12);
	CHECK_NEAR(g.day[1], 2, 1e-12);
	CHECK_NEAR(g.since, 1, 1e-12);
	gaps_release(&g);
}

static void draws(void)
{
	struct dice dice = { .state = 7 };
	struct dry_prior prior;
	struct gaps g;

	dry_prior_init(&prior);
	gaps_init(&g, &charge, &prior, 9); /* gaps of 3, 2 and 2 days; the last reading was two days ago */
	for (int i = 0; i < 200; i++) {
		double next = gaps_next(&g, &dice), soon = gaps_first(&g, &dice);

		CHECK(next == 2 || next == 3);
		CHECK_NEAR(soon, 1, 1e-12); /* only the gap of three days is not over */
	}
	gaps_release(&g);
	gaps_init(&g, &(struct dry_charge){ 0 }, &prior, 3);
	CHECK_NEAR(gaps_next(&g, &dice), 2, 1e-12); /* nothing is known */
	gaps_release(&g);
	dry_prior_release(&prior);
}

int main(void)
{
	counts();
	draws();
	return check_end();
}
