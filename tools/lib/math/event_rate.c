#include "math/event_rate.h"

#include <math.h>

#include "math/distributions.h"

/* What two chances may differ by and be taken for the same. */
#define EVENT_HAIR 1e-7

struct event_rate event_rate(int64_t k, double time, double sure)
{
	struct event_rate r = { NAN, NAN, NAN };
	double tail = (1 - sure) / 2;

	if (k < 0 || k > DIST_PIECES_MOST || !(time > 0) || !isfinite(time) || !dist_is_probability(sure))
		return r;
	r.rate = (double)k / time;
	r.low = k == 0 ? 0 : dist_chi2_q(tail, 2.0 * (double)k) / 2 / time;
	r.high = dist_chi2_q(1 - tail, 2.0 * (double)k + 2) / 2 / time;
	return r;
}

static double chance(int64_t k, int64_t n, double share)
{
	double ways = lgamma((double)n + 1) - lgamma((double)k + 1) - lgamma((double)(n - k) + 1);

	return exp(ways + (double)k * log(share) + (double)(n - k) * log1p(-share));
}

double event_rate_differs_p(int64_t k1, double t1, int64_t k2, double t2)
{
	int64_t n = k1 + k2;
	double share = t1 / (t1 + t2), came, sum = 0;

	if (k1 < 0 || k2 < 0 || n > DIST_PIECES_MOST || !(t1 >= 0) || !(t2 >= 0) || !(t1 + t2 > 0) || !isfinite(t1 + t2))
		return NAN;
	if (n == 0)
		return 1;
	if (!dist_is_probability(share))
		return (t1 > 0 || k1 == 0) && (t2 > 0 || k2 == 0) ? 1 : 0;
	came = chance(k1, n, share);
	for (int64_t k = 0; k <= n; k++) {
		double p = chance(k, n, share);

		if (p <= came * (1 + EVENT_HAIR))
			sum += p;
	}
	return sum > 1 ? 1 : sum;
}

double event_rate_least_p(int64_t k, double t1, double t2)
{
	double here = event_rate_differs_p(k, t1, 0, t2), there = event_rate_differs_p(0, t1, k, t2);

	return here < there ? here : there;
}
