/* Control charts of daily means, against published figures; tests/outside/chart.c has R's. */
#include <math.h>

#include "air/control_chart.h"
#include "check.h"

/* NIST/SEMATECH e-Handbook 6.3.2.4: independent values, sd 2.0539; the first values of the average from a mean of 50. */
static void average(void)
{
	static const double Z[] = { 52, 47, 53, 49.3 }, EWMA[] = { 50.60, 49.52, 50.56, 50.18 };
	double z = 50;

	CHECK_NEAR(50 - air_ewma_reach(2.0539, 0), 47.4115, 1e-4); /* printed cut off, not rounded */
	CHECK_NEAR(50 + air_ewma_reach(2.0539, 0), 52.5884, 1e-4);
	for (int k = 0; k < 4; k++) {
		z = air_ewma_next(z, Z[k]);
		CHECK_CASE(k);
		CHECK_NEAR(z, EWMA[k], 0.0051);
	}
}

/* Which days the limits are from, and what a gap does. */
static void limits(void)
{
	static const double X[] = { 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 };
	struct air_day day[12];
	struct air_limits l;

	day[0] = (struct air_day){ 90, 20 };
	for (int k = 0; k < 10; k++)
		day[k + 1] = (struct air_day){ 100 + k, X[k] };
	day[11] = (struct air_day){ 110, 99 };
	CHECK(air_limits_of(day, 12, 100, 109, &l) && l.n == 10);
	CHECK(l.low < 47.6 && l.high > 53.6 && l.high < 99);
	CHECK_NEAR(l.centre - l.low, l.high - l.centre, 1e-9);
	CHECK_NEAR(air_expected(&l, l.centre, 5), l.centre, 1e-12);
	CHECK_NEAR(air_expected(&l, l.centre + 1, 2), l.centre + l.correlation * l.correlation, 1e-12);
	CHECK_NEAR(air_expected_reach(&l, 1), 3 * l.step_sd, 1e-12);
	CHECK(air_expected_reach(&l, 3) > air_expected_reach(&l, 1));
	CHECK_NEAR(air_expected_reach(&l, 1000), 3 * l.step_sd / sqrt(1 - l.correlation * l.correlation), 1e-9);
	/* nine days are too few, and ten alike have no spread */
	CHECK(!air_limits_of(day, 12, 100, 108, &l) && l.n == 9);
	for (int k = 0; k < 10; k++)
		day[k + 1].mean = 50;
	CHECK(!air_limits_of(day, 12, 100, 109, &l) && l.n == 10);
}

int main(void)
{
	average();
	limits();
	return check_end();
}
