#include "dry/points_removed.h"

#include <math.h>

#include "dry/charges.h"
#include "math/distributions.h"

/* What a probe that was read twice or more says; false for another. */
static bool drop_of(const struct dry_case *c, size_t i, double *drop, bool *above)
{
	const struct dry_probe *p = &c->probe[i];

	if (c->place[i].source != DRY_PROBE || p->n < 2)
		return false;
	*drop = p->reading[0].mc - p->reading[p->n - 1].mc;
	*above |= p->reading[0].mark == DRY_ABOVE;
	return true;
}

struct points_removed points_removed_of(const struct dry_case *c)
{
	struct points_removed r = { 0, NAN, NAN, false };
	double sum = 0, squares = 0, drop, n;

	for (size_t i = 0; i < c->charge.nprobes; i++)
		if (drop_of(c, i, &drop, &r.above)) {
			sum += drop;
			r.probes++;
		}
	n = (double)r.probes;
	if (!r.probes || !(sum > 0))
		return r;
	r.mean = sum / n;
	for (size_t i = 0; i < c->charge.nprobes; i++)
		if (drop_of(c, i, &drop, &r.above))
			squares += (drop - r.mean) * (drop - r.mean);
	if (r.probes > 1)
		r.half = dist_t_q(0.975, n - 1) * sqrt(squares / (n - 1) / n);
	return r;
}
