#include "math/individuals.h"

#include <math.h>

static const double D2 = 1.128; /* the mean range of two normal values, in standard deviations */

bool individuals_of(const double *v, size_t n, struct individuals *limits)
{
	double sum = 0, ranges = 0, reach;

	if (n < INDIVIDUALS_LEAST)
		return false;
	for (size_t i = 0; i < n; i++) {
		sum += v[i];
		ranges += i ? fabs(v[i] - v[i - 1]) : 0;
	}
	reach = 3 * ranges / (double)(n - 1) / D2;
	limits->centre = sum / (double)n;
	limits->low = limits->centre - reach;
	limits->high = limits->centre + reach;
	return true;
}
