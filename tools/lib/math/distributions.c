#include "math/distributions.h"

#include <gsl/gsl_cdf.h>
#include <math.h>

#include "math/gsl_quiet.h"

bool dist_is_probability(double p)
{
	return p > 0 && p < 1;
}

double dist_normal_p(double z)
{
	return gsl_cdf_ugaussian_P(z);
}

double dist_normal_q(double p)
{
	return dist_is_probability(p) ? gsl_cdf_ugaussian_Pinv(p) : NAN;
}

double dist_t_q(double p, double nu)
{
	double t = NAN;

	gsl_quiet();
	if (dist_is_probability(p) && nu > 0)
		t = p < 0.5 ? gsl_cdf_tdist_Pinv(p, nu) : gsl_cdf_tdist_Qinv(1 - p, nu);
	return t;
}

double dist_t_p(double t, double nu)
{
	gsl_quiet();
	return nu > 0 && !isnan(t) ? gsl_cdf_tdist_P(t, nu) : NAN;
}

double dist_f_upper_p(double f, double nu1, double nu2)
{
	gsl_quiet();
	return nu1 > 0 && nu2 > 0 && f >= 0 ? gsl_cdf_fdist_Q(f, nu1, nu2) : NAN;
}

double dist_chi2_q(double p, double nu)
{
	double x = NAN;

	gsl_quiet();
	if (dist_is_probability(p) && nu > 0)
		x = p < 0.5 ? gsl_cdf_chisq_Pinv(p, nu) : gsl_cdf_chisq_Qinv(1 - p, nu);
	return x;
}

double dist_chi2_p(double x, double nu)
{
	gsl_quiet();
	return gsl_cdf_chisq_P(x, nu);
}

double dist_chi2_upper_p(double x, double nu)
{
	gsl_quiet();
	return gsl_cdf_chisq_Q(x, nu);
}

double dist_chi2_upper_q(double p, double nu)
{
	gsl_quiet();
	return gsl_cdf_chisq_Qinv(p, nu);
}

/* The root by halving, for where the library does not find it (from some thousands of pieces on). */
static double beta_q_halved(double p, double a, double b)
{
	double low = 0, high = 1;

	while (high - low > 1e-16 && low + (high - low) / 2 > low && low + (high - low) / 2 < high) {
		double mid = low + (high - low) / 2;

		if (gsl_cdf_beta_P(mid, a, b) < p)
			low = mid;
		else
			high = mid;
	}
	return low + (high - low) / 2;
}

/* The library aborts, or with its handler off never comes back, where a parameter is 0. */
double dist_beta_q(double p, double a, double b)
{
	double x;

	if (!(a >= 0 && b >= 0) || !dist_is_probability(p) || (a == 0 && b == 0))
		return NAN;
	if (a == 0 || b == 0)
		return a == 0 ? 0 : 1;
	gsl_quiet();
	x = gsl_cdf_beta_Pinv(p, a, b);
	if (!(fabs(gsl_cdf_beta_P(x, a, b) - p) < 1e-12))
		x = beta_q_halved(p, a, b);
	return x;
}

static double binomial_p(int64_t k, double share, int64_t n)
{
	gsl_quiet();
	return gsl_cdf_binomial_P((unsigned)k, share, (unsigned)n);
}

double dist_binomial_p(int64_t k, double share, int64_t n)
{
	if (n < 0 || n > DIST_PIECES_MOST || !(share >= 0 && share <= 1))
		return NAN;
	if (k < 0)
		return 0;
	return k >= n ? 1 : binomial_p(k, share, n);
}

static double hypergeometric_p(int64_t k, int64_t bad, int64_t good, int64_t drawn)
{
	gsl_quiet();
	return gsl_cdf_hypergeometric_P((unsigned)k, (unsigned)bad, (unsigned)good, (unsigned)drawn);
}

double dist_hypergeometric_p(int64_t k, int64_t bad, int64_t all, int64_t drawn)
{
	if (bad < 0 || drawn < 0 || bad > all || drawn > all || all > DIST_PIECES_MOST)
		return NAN;
	if (k < 0)
		return 0;
	if (k >= bad || k >= drawn)
		return 1;
	return hypergeometric_p(k, bad, all - bad, drawn);
}
