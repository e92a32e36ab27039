#include "math/tolerance.h"

#include <math.h>

#include "math/distributions.h"
#include "math/numeric.h"

enum { NODES = 96, NEAR_NORMAL = 1000, CUBE_FROM = 300000, LOG_K_MOST = 34 };

static const double MEAN_REACH = 9; /* standard errors; Phi(-9) is 1e-19 */

static const double FAR = 1e-14; /* the probability of the sd that is left out at each end */

static double upper_tail(double z)
{
	return erfc(z / M_SQRT2) / 2;
}

static double density(double z)
{
	return exp(-z * z / 2) / sqrt(2 * M_PI);
}

/* ---- one-sided */

struct factor {
	double n, nu, z, sure, k;
	bool one;
};

struct reach {
	double low, high;
};

/* Where s/sigma practically lies; for many pieces it is nearly normal, with an sd of 1 / sqrt(2 nu). */
static struct reach sd_reach(double nu)
{
	if (nu >= NEAR_NORMAL)
		return (struct reach){ 1 - 9 / sqrt(2 * nu), 1 + 9 / sqrt(2 * nu) };
	return (struct reach){ sqrt(dist_chi2_q(FAR, nu) / nu), sqrt(dist_chi2_upper_q(FAR, nu) / nu) };
}

/* P(s/sigma <= least). */
static double sd_below(double least, double nu)
{
	double variance = 2 / (9 * nu);

	if (nu < CUBE_FROM)
		return dist_chi2_p(nu * least * least, nu);
	/* the library's tail is wrong for so many; Wilson and Hilferty (1931) are right to 3e-8 */
	return dist_normal_p((cbrt(least * least) - (1 - variance)) / sqrt(variance));
}

/*
 * The sample's mean is off by u standard errors, so k sd must reach z + u / sqrt(n). That sd, over sigma, is
 * too small with this probability.
 */
static double short_at(double u, void *context)
{
	const struct factor *f = context;
	double least = (f->z + u / sqrt(f->n)) / f->k;

	return density(u) * (least > 0 ? sd_below(least, f->nu) : 0);
}

/*
 * The probability that mean - k sd covers less than asked, for k above 0. The integral runs over the mean and
 * not over the sd: over the sd the integrand is a step as narrow as 1 / k, which a quadrature may pass by.
 */
static double short_share(struct factor *f)
{
	struct reach reach = sd_reach(f->nu);
	double low = fmax(sqrt(f->n) * (f->k * reach.low - f->z), -MEAN_REACH), high = fmin(sqrt(f->n) * (f->k * reach.high - f->z), MEAN_REACH);

	return upper_tail(fmax(high, low)) + (high > low ? numeric_integral(short_at, f, low, high) : 0);
}

/* How sure the factor is, less what is asked. */
static double one_excess(double log_k, void *context)
{
	struct factor *f = context;

	f->k = exp(log_k);
	return 1 - f->sure - short_share(f);
}

static bool can_factor(double n, double nu, double cover, double sure)
{
	return n > 0 && n <= DIST_PIECES_MOST && nu >= 1 && nu <= DIST_PIECES_MOST && dist_is_probability(cover) && dist_is_probability(sure);
}

/* P(T <= k sqrt(n)) = sure for T noncentral t with nu and z_cover sqrt(n) (e-Handbook, 7.2.6.3). */
double tolerance_one_pooled(double n, double nu, double cover, double sure)
{
	struct factor f = { .n = n, .nu = nu, .z = dist_normal_q(cover), .sure = sure };
	double zero = upper_tail(sqrt(n) * f.z), low = 0, high = 1; /* P(T <= 0); logs of k */

	if (!can_factor(n, nu, cover, sure))
		return NAN;
	if (sure < zero) /* T of -ncp is -T */
		return -tolerance_one_pooled(n, nu, 1 - cover, 1 - sure);
	while (one_excess(low, &f) > 0 && low > -LOG_K_MOST)
		low -= 2;
	while (one_excess(high, &f) < 0 && high < LOG_K_MOST)
		high += 2;
	if (low <= -LOG_K_MOST)
		return 0;
	return exp(numeric_root(one_excess, &f, low, high, 1e-13));
}

double tolerance_one(double n, double cover, double sure)
{
	return n >= 2 ? tolerance_one_pooled(n, n - 1, cover, sure) : NAN;
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

	if (!dist_is_probability(cover) || !dist_is_probability(sure) || !(n > 0) || !(nu >= 1))
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
		return 1 - f->sure - short_share(f);
	}
	return lay_nodes(&t, f->n, f->nu, cover) ? two_excess(f->k, &t) : NAN;
}

double tolerance_cover_pooled(double n, double nu, double low_sds, double high_sds, double sure)
{
	struct factor f = { .n = n, .nu = nu, .sure = sure, .k = fmin(low_sds, high_sds), .one = isinf(low_sds) || isinf(high_sds) };
	const double least = 1e-6, most = 1 - 1e-9;

	if (!can_factor(n, nu, 0.5, sure) || !(f.k > 0) || cover_excess(least, &f) < 0)
		return 0;
	if (isinf(f.k) || cover_excess(most, &f) > 0)
		return most;
	return numeric_root(cover_excess, &f, least, most, 1e-12);
}

double tolerance_cover(double n, double low_sds, double high_sds, double sure)
{
	return n >= 2 ? tolerance_cover_pooled(n, n - 1, low_sds, high_sds, sure) : 0;
}

/* The factor falls as the pieces grow in number. */
int64_t tolerance_pieces(double cover, double sure, double sds)
{
	int64_t low = 1, high = 2;

	if (!(tolerance_two(INFINITY, cover, sure) < sds))
		return -1;
	while (high < DIST_PIECES_MOST && tolerance_two((double)high, cover, sure) > sds) {
		low = high;
		high = high * 2 < DIST_PIECES_MOST ? high * 2 : DIST_PIECES_MOST;
	}
	while (high - low > 1) {
		int64_t mid = low + (high - low) / 2;

		if (tolerance_two((double)mid, cover, sure) > sds)
			low = mid;
		else
			high = mid;
	}
	return tolerance_two((double)high, cover, sure) <= sds ? high : -1;
}
