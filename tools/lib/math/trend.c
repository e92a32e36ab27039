#include "math/trend.h"

#include <math.h>

#include "math/distributions.h"

struct trend trend_of(const struct trend_group *group, size_t n)
{
	struct trend t = { NAN, NAN };
	double all = 0, some = 0, mean = 0, spread = 0, moved = 0, share;

	for (size_t i = 0; i < n; i++) {
		all += (double)group[i].n;
		some += (double)group[i].k;
		mean += (double)group[i].n * group[i].score;
	}
	if (!(all > 0) || !(some > 0) || some >= all)
		return t;
	mean /= all;
	share = some / all;
	for (size_t i = 0; i < n; i++) {
		double off = group[i].score - mean;

		moved += (double)group[i].k * off;
		spread += (double)group[i].n * off * off;
	}
	if (!(spread > 0))
		return t;
	t.z = moved / sqrt(share * (1 - share) * spread);
	t.p = dist_chi2_upper_p(t.z * t.z, 1);
	return t;
}
