/* Means of values in clusters: few of them; the intervals beside R are in tests/outside/score.c. */
#include "math/cluster_mean.h"

#include <math.h>

#include "check.h"

int main(void)
{
	struct cluster_mean m = { 0 };
	struct cluster_found f = cluster_mean_end(&m);

	CHECK(isnan(f.mean) && isnan(f.low) && f.values == 0 && f.clusters == 0);
	f = cluster_share_end(&m);
	CHECK(isnan(f.mean) && isnan(f.low) && isnan(f.high));
	cluster_mean_add(&m, 7, 1);
	cluster_mean_add(&m, 7, 0.5);
	f = cluster_mean_end(&m);
	CHECK_NEAR(f.mean, 0.75, 0);
	CHECK(isnan(f.low) && f.values == 2 && f.clusters == 1);
	f = cluster_share_end(&m);
	CHECK(f.low > 0 && f.low < 0.75 && f.high < 1.0000001);
	cluster_mean_add(&m, 0, 0.75); /* sums that are as the mean says: no spread */
	f = cluster_mean_end(&m);
	CHECK_NEAR(f.low, 0.75, 1e-12);
	CHECK_NEAR(f.high, 0.75, 1e-12);
	cluster_mean_release(&m);
	CHECK(m.n == 0 && !m.cluster);
	return check_end();
}
