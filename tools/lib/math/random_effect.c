#include "math/random_effect.h"

#include <math.h>

#include "math/distributions.h"
#include "math/numeric.h"

struct weighing {
	const struct effect *list;
	size_t n;
	double weight, mean, squares; /* sums, for one variance between */
};

static void weigh(struct weighing *w, double between)
{
	double sum = 0;

	w->weight = w->squares = 0;
	for (size_t i = 0; i < w->n; i++) {
		double weight = 1 / (between + w->list[i].within);

		w->weight += weight;
		sum += weight * w->list[i].value;
	}
	w->mean = sum / w->weight;
	for (size_t i = 0; i < w->n; i++)
		w->squares += (w->list[i].value - w->mean) * (w->list[i].value - w->mean) / (between + w->list[i].within);
}

/* By how much the weighted squares are more than is expected; falls as the variance between grows. */
static double excess(double between, void *context)
{
	struct weighing *w = context;

	weigh(w, between);
	return w->squares - (double)(w->n - 1);
}

static double between_of(struct weighing *w)
{
	double high = 1e-12;

	if (w->n < 2 || !(excess(0, w) > 0))
		return 0;
	while (excess(high, w) > 0)
		high *= 4;
	return numeric_root(excess, w, 0, high, 1e-13 * high);
}

struct random_effect random_effect_of(const struct effect *list, size_t n)
{
	struct weighing w = { .list = list, .n = n };
	struct random_effect r = { .n = n, .mean = NAN, .error = NAN, .between = NAN };

	if (!n)
		return r;
	r.between = between_of(&w);
	weigh(&w, r.between);
	r.mean = w.mean;
	if (n > 1)
		r.error = sqrt(w.squares / (double)(n - 1) / w.weight);
	return r;
}

double random_effect_half(const struct random_effect *r, double sure)
{
	return r->n > 1 ? dist_t_q((1 + sure) / 2, (double)(r->n - 1)) * r->error : NAN;
}
