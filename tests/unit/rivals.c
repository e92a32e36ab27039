/* Plain rivals: the last rate towards the EMC, and the days of past charges. */
#include "dry/rivals.h"

#include <math.h>

#include "charge_made.h"
#include "check.h"

static void by_rate(void)
{
	/* 8 above an EMC of 8, and 4 above it two days later: halved in two days. 2.2 above it is 0.8625 halvings further. */
	struct dry_reading a[] = { { 0, 16, DRY_AT, 1, 16 }, { 2, 12, DRY_AT, 1, 12 }, { 4, 13, DRY_AT, 1, 13 } };
	struct dry_reading b[] = { { 0, 12, DRY_AT, 1, 12 }, { 2, 9, DRY_AT, 1, 9 } };
	struct dry_probe two[] = { { a, 2, 1, 0, INFINITY, true, false }, { b, 2, 1, 0, INFINITY, true, false } };
	struct dry_charge charge = { two, 2, air, 3, 1, 1, INFINITY, { 0, 0 } };

	CHECK_NEAR(dry_by_rate(&charge, &plain, 2, 8), 2 + 2 * log2(4 / 2.2) + 1, 1e-9);
	CHECK(isinf(dry_by_rate(&charge, &plain, 0, 8)));      /* one reading */
	CHECK(isinf(dry_by_rate(&charge, &plain, 2, 10.2)));   /* air that never brings it there */
	CHECK(isinf(dry_by_rate(&charge, &plain, 2, NAN)));
	two[0].n = 3;
	CHECK(isinf(dry_by_rate(&charge, &plain, 4, 8)));      /* it got wetter */
	two[0].until = 3;
	CHECK_NEAR(dry_by_rate(&charge, &plain, 4, 8), 5, 1e-9); /* out: the other one is there; the next day at the earliest */
	two[0] = (struct dry_probe){ a, 0, 1, 0, INFINITY, true, false };
	CHECK(isinf(dry_by_rate(&charge, &plain, 4, 8)));
}

static void past_days(void)
{
	static const struct day_seen seen[] = { { 19, 20 }, { 29, 30 }, { 24, DAY_UNSEEN } };
	static const int recorded[] = { 21, 30, DAY_UNSEEN };
	struct dry_past_days past;
	double odds[12];

	dry_past_days_of(seen, recorded, 3, &past);
	CHECK_NEAR(past.mean, 25.5, 1e-12);
	CHECK_INT(past.seen, 2);
	CHECK_INT(past.n, 3);
	CHECK_NEAR(past.share[20], 1 / 3.0, 1e-7); /* Kaplan and Meier: then all on 30 */
	CHECK_NEAR(past.share[30], 2 / 3.0, 1e-7);
	dry_past_odds(&past, 15, odds, 10);
	CHECK_NEAR(odds[5], 1 / 3.0, 1e-7);
	CHECK_NEAR(odds[11], 2 / 3.0, 1e-7);       /* not within ten days */
	dry_past_odds(&past, 20, odds, 10);
	CHECK_NEAR(odds[10], 1, 1e-7);
	dry_past_odds(&past, 30, odds, 10);        /* longer than any */
	CHECK_NEAR(odds[1], 1, 0);
	dry_past_days_of(seen, recorded, 0, &past);
	CHECK(isnan(past.mean) && past.seen == 0);
}

int main(void)
{
	by_rate();
	past_days();
	return check_end();
}
