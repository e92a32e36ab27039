/* The house's rule for readiness, part by part. */
#include "charge_made.h"
#include "check.h"

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

static void ready_days(void)
{
	struct dry_reading a[] = { { 0, 9, DRY_AT, 1, 9 }, { 2, 9, DRY_AT, 1, 9 }, { 4, 9, DRY_AT, 1, 9 } };
	struct dry_probe one = { a, 3, 1, 0, INFINITY, true, false };
	struct dry_charge charge = { .probe = &one, .nprobes = 1 };

	CHECK_NEAR(dry_ready_day(&charge, &plain), 2, 0);
	a[1].mc = 11; /* and the row begins again */
	CHECK(isinf(dry_ready_day(&charge, &plain)));
}

/* Of readings by a day, that day counted in. */
static void runs(void)
{
	struct dry_reading a[] = { { 0, 12, DRY_AT, 1, 12 }, { 2, 10, DRY_AT, 1, 10 }, { 4, 9, DRY_BELOW, 1, 9 } };
	const struct dry_probe one = { a, 3, 1, 1, 5, true, false };
	struct dry_run run = dry_run_of(&plain, &one, 2);

	CHECK(run.read && run.read_before && run.in_band == 1);
	CHECK_NEAR(run.last, 10, 0);
	CHECK_NEAR(run.before, 12, 0);
	CHECK(!dry_run_of(&plain, &one, -1).read);
	CHECK_INT(dry_run_of(&plain, &one, 4).in_band, 0);
}

int main(void)
{
	rules();
	runs();
	ready_days();
	return check_end();
}
