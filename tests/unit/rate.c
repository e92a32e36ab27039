/* The limit of how fast wood may dry, by band, and how fast a piece is when readings are off the scale or hours apart. */
#include <math.h>

#include "dry/observed.h"
#include "dry/rate.h"
#include "check.h"

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

int main(void)
{
	pace();
	return check_end();
}
