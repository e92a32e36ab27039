#include "air/control_chart.h"

#include <math.h>

static const double SDS = 3; /* from the centre to a limit */

double air_ewma_reach(double sd)
{
	return SDS * sd * sqrt(AIR_LAMBDA / (2 - AIR_LAMBDA));
}

bool air_limits_of(const struct air_day *day, size_t n, int32_t from, int32_t to, struct air_limits *limits)
{
	double sum = 0, ranges = 0, s;

	*limits = (struct air_limits){ 0 };
	for (size_t i = 0; i < n; i++) {
		if (day[i].day < from || day[i].day > to)
			continue;
		sum += day[i].mean;
		limits->n++;
		if (i > 0 && day[i - 1].day == day[i].day - 1 && day[i - 1].day >= from) {
			ranges += fabs(day[i].mean - day[i - 1].mean);
			limits->ranges++;
		}
	}
	if (limits->n < 2 || !limits->ranges)
		return false;
	limits->centre = sum / (double)limits->n;
	ranges /= (double)limits->ranges;
	s = ranges / AIR_D2;
	limits->low = limits->centre - SDS * s;
	limits->high = limits->centre + SDS * s;
	limits->range_high = AIR_D4 * ranges;
	limits->ewma_low = limits->centre - air_ewma_reach(s);
	limits->ewma_high = limits->centre + air_ewma_reach(s);
	return true;
}

double air_ewma_next(double before, double mean)
{
	return AIR_LAMBDA * mean + (1 - AIR_LAMBDA) * before;
}
