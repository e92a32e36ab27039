#include "moist/gradient.h"

#include <math.h>
#include <stdlib.h>

#include "math/distributions.h"

struct moments {
	size_t n;
	double mean, squares; /* squares of the distances from the mean */
};

static void moments_add(struct moments *m, double x)
{
	double off = x - m->mean;

	m->n++;
	m->mean += off / (double)m->n;
	m->squares += off * (x - m->mean);
}

/* What the spread adds to the variance of the mean. */
static double moments_error(const struct moments *m)
{
	return m->squares / ((double)m->n - 1) / (double)m->n;
}

static int piece_order(const void *a, const void *b)
{
	const struct gradient_depth *x = a, *y = b;

	if (x->piece != y->piece)
		return x->piece < y->piece ? -1 : 1;
	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (x->mc_pct > y->mc_pct) - (x->mc_pct < y->mc_pct);
}

static struct moments moments_of(const struct gradient_depth *list, size_t n)
{
	struct moments m = { 0, 0, 0 };

	for (size_t i = 0; i < n; i++)
		moments_add(&m, list[i].mc_pct);
	return m;
}

static struct moments pairs_of(const struct gradient_depth *shallow, size_t m, const struct gradient_depth *deep, size_t n)
{
	struct moments pairs = { 0, 0, 0 };

	for (size_t i = 0, j = 0; i < m && j < n; ) {
		if (shallow[i].piece == deep[j].piece && shallow[i].piece && shallow[i].day == deep[j].day)
			moments_add(&pairs, deep[j].mc_pct - shallow[i].mc_pct);
		if (shallow[i].piece <= deep[j].piece)
			i++;
		else
			j++;
	}
	return pairs;
}

static struct gradient within(double points, double error, double nu, double sure)
{
	double reach = error > 0 ? dist_t_q((1 + sure) / 2, nu) * sqrt(error) : error == 0 ? 0 : NAN;

	return (struct gradient){ 0, points, points - reach, points + reach };
}

static struct gradient of_samples(const struct moments *shallow, const struct moments *deep, double sure)
{
	double a, b, nu;

	if (shallow->n < 2 || deep->n < 2)
		return (struct gradient){ 0, shallow->n && deep->n ? deep->mean - shallow->mean : NAN, NAN, NAN };
	a = moments_error(shallow);
	b = moments_error(deep);
	nu = (a + b) * (a + b) / (a * a / ((double)shallow->n - 1) + b * b / ((double)deep->n - 1));
	return within(deep->mean - shallow->mean, a + b, nu, sure);
}

struct gradient gradient_of(struct gradient_depth *shallow, size_t m, struct gradient_depth *deep, size_t n, double sure)
{
	struct moments pairs, two[2];
	struct gradient d;

	if (m)
		qsort(shallow, m, sizeof *shallow, piece_order);
	if (n)
		qsort(deep, n, sizeof *deep, piece_order);
	pairs = pairs_of(shallow, m, deep, n);
	if (pairs.n >= 2) {
		d = within(pairs.mean, moments_error(&pairs), (double)pairs.n - 1, sure);
		d.pairs = pairs.n;
		return d;
	}
	two[0] = moments_of(shallow, m);
	two[1] = moments_of(deep, n);
	return of_samples(&two[0], &two[1], sure);
}
