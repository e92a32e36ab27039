/* The air of a place: what is not given stays, set points give way, and the mean goes by time. */
#include <math.h>

#include "dry/kiln_air.h"
#include "time/calendar.h"
#include "wood/climate.h"
#include "check.h"

static struct dry_weather measured(int64_t utc_s, double temp_c, double rh_pct)
{
	return (struct dry_weather){ .utc_s = utc_s, .temp_c = temp_c, .rh_pct = rh_pct, .measured = true };
}

static void fills_in(void)
{
	struct dry_climates set = { 0 };
	const struct dry_climate *k;

	dry_climates_add(&set, SLICE("k"), measured(2 * DAY_S, NAN, 50));
	dry_climates_add(&set, SLICE("k"), measured(DAY_S, 30, 60));
	dry_climates_add(&set, SLICE("other"), measured(0, 20, 40));
	dry_climates_settle(&set);
	k = dry_climates_find(&set, SLICE("k"));
	CHECK(!dry_climates_find(&set, SLICE("none")));
	CHECK_INT(k->n, 2);
	CHECK_NEAR(k->weather[1].temp_c, 30, 0); /* of the line before it in time */
	CHECK_INT(dry_climate_from(k, DAY_S), 0);
	CHECK_INT(dry_climate_from(k, DAY_S + 1), 1);
	CHECK_INT(dry_climate_from(k, 3 * DAY_S), 2);
	CHECK_INT(dry_climate_from(NULL, 0), 0);
	CHECK(!dry_climate_last(k, DAY_S - 1));
	CHECK_NEAR(dry_climate_last(k, 9 * DAY_S)->rh_pct, 50, 0);
	dry_climates_release(&set);
}

static void means(void)
{
	struct dry_climates set = { 0 };
	const struct dry_climate *k;
	double wet = emc_pct(30, 60), dry = emc_pct(30, 40);

	dry_climates_add(&set, SLICE("k"), measured(0, 30, 60));
	dry_climates_add(&set, SLICE("k"), measured(DAY_S, 30, 40));
	dry_climates_settle(&set);
	k = dry_climates_find(&set, SLICE("k"));
	CHECK_NEAR(dry_climate_emc(k, 2 * DAY_S, 9), (wet + dry) / 2, 1e-12); /* a day each */
	CHECK_NEAR(dry_climate_emc(k, DAY_S + DAY_S / 3, 9), (3 * wet + dry) / 4, 1e-12);
	CHECK_NEAR(dry_climate_emc(k, 2 * DAY_S, 1), dry, 1e-12); /* the last day alone */
	CHECK(isnan(dry_climate_emc(NULL, 0, 9)));
	dry_climates_release(&set);
}

int main(void)
{
	fills_in();
	means();
	return check_end();
}
