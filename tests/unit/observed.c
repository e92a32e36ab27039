/* What was observed by a day, that day counted in, and which probes the rule looks at. */
#include <math.h>

#include "dry/observed.h"
#include "check.h"

/* Nothing is left out before the last reading, nor in the year and the weeks before now; days keep their order. */
static void still_time(void)
{
	const struct dry_reading a[] = { { 0, 12, DRY_AT, 1, 12 }, { 20.2, 10, DRY_AT, 1, 10 } };
	const struct dry_air air[] = { { 0, 30, 8, false }, { 900, 30, 9, false } };
	const struct dry_probe probe = { .reading = a, .n = 2, .until = INFINITY, .ruled = true };
	const struct dry_charge charge = { .probe = &probe, .nprobes = 1, .air = air, .nair = 2, .end = INFINITY };
	struct dry_still s;

	CHECK(dry_still_at(&charge, 10).days == 0);
	CHECK(dry_still_at(&charge, 426).days == 0);
	s = dry_still_at(&charge, 427.5);
	CHECK(s.from == 21 && s.days == 1);
	CHECK(dry_less_still(&s, 20.5) == 20.5 && dry_less_still(&s, 21.4) == 21 && dry_less_still(&s, 22.25) == 21.25);
	s = dry_still_at(&charge, 3e6);
	CHECK(s.from == 21 && s.days == 3e6 - 365 - 40 - 21 && dry_less_still(&s, 3e6) == 21 + 365 + 40);
}

int main(void)
{
	const struct dry_reading a[] = { { 0, 12, DRY_AT, 1, 12 }, { 2, 10, DRY_AT, 1, 10 }, { 4, 9, DRY_BELOW, 1, 9 } };
	struct dry_probe probe = { .reading = a, .n = 3, .from = 1, .until = 5, .ruled = true };

	CHECK_INT(dry_read_by(&probe, -1), 0);
	CHECK_INT(dry_read_by(&probe, 3.9), 2);
	CHECK_INT(dry_read_by(&probe, 4), 3);
	CHECK_INT(dry_read_by(&probe, INFINITY), 3);
	CHECK(!dry_probe_counts(&probe, 0.9));
	CHECK(dry_probe_counts(&probe, 1));
	CHECK(dry_probe_counts(&probe, 4.9));
	CHECK(!dry_probe_counts(&probe, 5));
	probe.ruled = false;
	CHECK(!dry_probe_counts(&probe, 2));
	still_time();
	return check_end();
}
