#include "math/tolerance.h"

#include <math.h>

#include "math/distributions.h"
#include "math/numeric.h"

enum { NODES = 96, SERIES_FROM = 500 };

static const double FAR = 1e-14; /* the probability that is left out at each end of an integral over the sd */

/* ---- one-sided */

struct factor {
	double n, nu, z, sure, k;
	bool one;
};

/* log(a^a / Gamma(a)): what is great in it cancels, which Stirling's series does before it is reckoned. */
static double log_power_over_gamma(double a)
{
	if (a < SERIES_FROM)
		return a * log(a) - lgamma(a);
	return a + log(a / (2 * M_PI)) / 2 - 1 / (12 * a) + 1 / (360 * a * a * a);
}

/* The density of s/sigma for nu degrees of freedom. */
static double sd_density(double s, double nu)
{
	double off = s - 1, a = nu / 2;

	if (!(s > 0))
		return 0;
	if (a < SERIES_FROM)
		return exp(log(2) + log_power_over_gamma(a) + (nu - 1) * log(s) - nu * s * s / 2);
	return exp(log(2) + log_power_over_gamma(a) - a + nu * (log1p(off) - off - off * off / 2)) / s;
}

static double one_at(double s, void *context)
{
	const struct factor *f = context;

	return dist_normal_p(sqrt(f->n) * (f->k * s - f->z)) * sd_density(s, f->nu);
}

struct reach {
	double low, high;
};

/* Where s/sigma practically lies; for many pieces it is nearly normal, with an sd of 1 / sqrt(2 nu). */
static struct reach sd_reach(double nu)
{
	if (nu >= 2 * SERIES_FROM)
		return (struct reach){ 1 - 9 / sqrt(2 * nu), 1 + 9 / sqrt(2 * nu) };
	return (struct reach){ sqrt(dist_chi2_q(FAR, nu) / nu), sqrt(dist_chi2_upper_q(FAR, nu) / nu) };
}

static double one_excess(double k, void *context)
{
	struct factor *f = context;
	struct reach reach = sd_reach(f->nu);

	f->k = k;
	return numeric_integral(one_at, f, reach.low, reach.high) - f->sure;
}

static bool can_factor(double n, double cover, double sure)
{
	return n >= 2 && n <= DIST_PIECES_MOST && dist_is_probability(cover) && dist_is_probability(sure);
}

/* P(T <= k sqrt(n)) = sure for T noncentral t with n - 1 and z_cover sqrt(n) (e-Handbook, 7.2.6.3). */
double tolerance_one(double n, double cover, double sure)
{
	struct factor f = { .n = n, .nu = n - 1, .z = dist_normal_q(cover), .sure = sure };
	double high = 1, low = -1;

	if (!can_factor(n, cover, sure))
		return NAN;
	while (one_excess(high, &f) < 0 && high < 1e9)
		high *= 2;
	while (one_excess(low, &f) > 0 && low > -1e9)
		low *= 2;
	return numeric_root(one_excess, &f, low, high, 1e-11 * high);
}

/* ---- two-sided */

/*
 * Two-sided: the double integral of Wald and Wolfowitz (1946) without their approximation. The outer
 * one runs over how far the sample's mean is off, x in sigma; r is the half-width that covers the
 * share from there. Neither depends on k, so the nodes are laid once.
 */
struct nodes {
	double nu, weight[NODES], r[NODES], sure;
};

static double upper_tail(double z)
{
	return erfc(z / M_SQRT2) / 2;
}

static double density(double z)
{
	return exp(-z * z / 2) / sqrt(2 * M_PI);
}

/* At a mean that is off by x sigma, the r for which [x - r, x + r] covers the share: Newton, kept in its bracket. */
static double width_at(double x, double cover, double z_both)
{
	double low = z_both, high = x + z_both, r = fmax(low, x + dist_normal_q(cover));

	for (int i = 0; i < 100 && high - low > 1e-15 * high; i++) {
		double over = (1 - cover) - upper_tail(r + x) - upper_tail(r - x);
		double next = r - over / (density(r + x) + density(r - x));

		if (over > 0)
			high = r;
		else
			low = r;
		if (!(next > low && next < high))
			next = (low + high) / 2;
		if (fabs(next - r) <= 1e-15 * r)
			break;
		r = next;
	}
	return r;
}

static bool lay_nodes(struct nodes *t, double n, double nu, double cover)
{
	double reach = 8.3 / sqrt(n), z_both = dist_normal_q((1 + cover) / 2), x[NODES];

	if (!numeric_nodes(0, reach, NODES, x, t->weight))
		return false;
	for (size_t i = 0; i < NODES; i++) {
		t->weight[i] *= sqrt(2 * n / M_PI) * exp(-n * x[i] * x[i] / 2);
		t->r[i] = width_at(x[i], cover, z_both);
	}
	t->nu = nu;
	return true;
}

/* How sure mean +- k sd covers the share, less what is asked. */
static double two_excess(double k, void *context)
{
	const struct nodes *t = context;
	double sum = 0;

	for (size_t i = 0; i < NODES; i++)
		sum += t->weight[i] * dist_chi2_upper_p(t->nu * t->r[i] * t->r[i] / (k * k), t->nu);
	return sum - t->sure;
}

double tolerance_pooled(double n, double nu, double cover, double sure)
{
	struct nodes t = { .sure = sure };
	double low, high;

	if (!dist_is_probability(cover) || !dist_is_probability(sure) || !(n >= 1) || !(nu >= 1))
		return NAN;
	if (isinf(n))
		return dist_normal_q((1 + cover) / 2);
	if (n > DIST_PIECES_MOST || nu > DIST_PIECES_MOST || !lay_nodes(&t, n, nu, cover))
		return NAN;
	/* Howe's factor is near (and from n = 5 at 90/95 a little below). */
	high = dist_normal_q((1 + cover) / 2) * sqrt((1 + 1 / n) * nu / dist_chi2_q(1 - sure, nu));
	low = high * 0.7;
	for (high *= 1.3; two_excess(high, &t) < 0 && high < 1e9; high *= 2)
		;
	while (two_excess(low, &t) > 0 && low > 1e-9)
		low /= 2;
	return numeric_root(two_excess, &t, low, high, 1e-11 * high);
}

double tolerance_two(double n, double cover, double sure)
{
	return n >= 2 ? tolerance_pooled(n, n - 1, cover, sure) : NAN;
}

/* ---- the mean, and the share of a band */

double tolerance_mean(int64_t n, double sure)
{
	return n >= 2 ? dist_t_q((1 + sure) / 2, (double)(n - 1)) / sqrt((double)n) : NAN;
}

/* How sure the band's nearer end, in sds, covers a share, less what is asked; falls as the share grows. */
static double cover_excess(double cover, void *context)
{
	struct factor *f = context;
	struct nodes t = { .sure = f->sure };

	if (f->one) {
		f->z = dist_normal_q(cover);
		return one_excess(f->k, f);
	}
	return lay_nodes(&t, f->n, f->nu, cover) ? two_excess(f->k, &t) : NAN;
}

double tolerance_cover(double n, double low_sds, double high_sds, double sure)
{
	struct factor f = { .n = n, .nu = n - 1, .sure = sure, .k = fmin(low_sds, high_sds), .one = isinf(low_sds) || isinf(high_sds) };
	const double least = 1e-6, most = 1 - 1e-9;

	if (!can_factor(n, 0.5, sure) || !(f.k > 0) || cover_excess(least, &f) < 0)
		return 0;
	if (isinf(f.k) || cover_excess(most, &f) > 0)
		return most;
	return numeric_root(cover_excess, &f, least, most, 1e-12);
}
