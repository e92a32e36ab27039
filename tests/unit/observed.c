/* What was observed by a day, that day counted in, and which probes the rule looks at. */
#include <math.h>

#include "dry/observed.h"
#include "check.h"

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
	return check_end();
}
