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

/* The least count from `from` to n, all at or above the mean, that is no likelier than `most`; n + 1 for none. */
static int64_t first_unlikely(int64_t from, int64_t n, double share, double most)
{
	int64_t high = n + 1;

	while (from < high) {
		int64_t mid = from + (high - from) / 2;

		if (chance(mid, n, share) <= most)
			high = mid;
		else
			from = mid + 1;
	}
	return from;
}

/* P(X >= k); small ones are exact to the last digits, too. */
static double at_least(int64_t k, int64_t n, double share)
{
	return k > n ? 0 : k <= 0 ? 1 : dist_binomial_p(n - k, 1 - share, n);
}

/* k is at or above the mean: the chance of so many or more, and of all on the other side that are no likelier. */
static double two_sided(int64_t k, int64_t n, double share)
{
	double most = chance(k, n, share) * (1 + EVENT_HAIR);
	int64_t other = first_unlikely((int64_t)ceil((double)n * (1 - share)), n, 1 - share, most);

	return at_least(k, n, share) + at_least(other, n, 1 - share);
}

double event_rate_differs_p(int64_t k1, double t1, int64_t k2, double t2)
{
	int64_t n = k1 + k2;
	double share = t1 / (t1 + t2), p;

	if (k1 < 0 || k2 < 0 || n > DIST_PIECES_MOST || !(t1 >= 0) || !(t2 >= 0) || !(t1 + t2 > 0) || !isfinite(t1 + t2))
		return NAN;
	if (n == 0)
		return 1;
	if (!dist_is_probability(share))
		return (t1 > 0 || k1 == 0) && (t2 > 0 || k2 == 0) ? 1 : 0;
	p = (double)k1 >= (double)n * share ? two_sided(k1, n, share) : two_sided(k2, n, 1 - share);
	return p > 1 ? 1 : p;
}

double event_rate_least_p(int64_t k, double t1, double t2)
{
	double here = event_rate_differs_p(k, t1, 0, t2), there = event_rate_differs_p(0, t1, k, t2);

	return here < there ? here : there;
}
