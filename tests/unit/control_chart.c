/* Control charts of daily means, against published figures. */
#include "air/control_chart.h"
#include "check.h"

/* NIST/SEMATECH e-Handbook 6.3.2.2 (flow rates) and 6.3.2.4 (EWMA, its first values from a mean of 50). */
static void charts(void)
{
	static const double X[] = { 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 };
	static const double Z[] = { 52, 47, 53, 49.3 }, EWMA[] = { 50.60, 49.52, 50.56, 50.18 };
	struct air_day day[11];
	struct air_limits l;
	double z = 50;

	for (int k = 0; k < 10; k++)
		day[k] = (struct air_day){ 100 + k, X[k] };
	day[10] = (struct air_day){ 110, 99 };
	CHECK(air_limits_of(day, 11, 100, 109, &l) && l.n == 10 && l.ranges == 9);
	CHECK_NEAR(l.centre, 50.81, 1e-12);
	CHECK_NEAR(l.low, 45.8159, 5e-5);
	CHECK_NEAR(l.high, 55.8041, 5e-5);
	CHECK_NEAR(l.range_high, 3.267 * 1.8778, 1e-3);
	CHECK_NEAR(50 - air_ewma_reach(2.0539), 47.4115, 1e-4); /* printed cut off, not rounded */
	CHECK_NEAR(50 + air_ewma_reach(2.0539), 52.5884, 1e-4);
	CHECK_NEAR(l.ewma_high - l.centre, air_ewma_reach(1.8778 / 1.128), 1e-4);
	/* a missing day has no range over it */
	day[5].day = day[6].day = 0;
	CHECK(air_limits_of(day, 11, 100, 109, &l) && l.n == 8 && l.ranges == 6);
	CHECK(!air_limits_of(day, 11, 100, 100, &l));
	for (int k = 0; k < 4; k++) {
		z = air_ewma_next(z, Z[k]);
		CHECK_CASE(k);
		CHECK_NEAR(z, EWMA[k], 0.0051);
	}
}

int main(void)
{
	charts();
	return check_end();
}
