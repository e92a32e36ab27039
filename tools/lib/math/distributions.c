#include "math/distributions.h"

#include <gsl/gsl_cdf.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_integration.h>
#include <gsl/gsl_randist.h>
#include <gsl/gsl_roots.h>
#include <math.h>

enum { PANELS = 512, NODES = 96, SERIES_FROM = 500 };

static const double HAIR = 1e-12; /* what a probability may be off by its rounding where it meets what is asked */
static const double D2 = 1.128;    /* of moving ranges of two; NIST/SEMATECH e-Handbook, 6.3.2.2 */

/*
 * The library's own handler ends the process at the first error. It is set off where an error
 * could arise, and set back, so that no state of ours is left in it.
 */
static gsl_error_handler_t *quiet(void)
{
	return gsl_set_error_handler_off();
}

static bool is_share(double p)
{
	return p > 0 && p < 1;
}

/* P(X > x) of chi-squared; NAN where the library cannot tell. */
static double chi2_upper(double x, double nu)
{
	gsl_error_handler_t *was = quiet();
	double p = gsl_cdf_chisq_Q(x, nu);

	gsl_set_error_handler(was);
	return p;
}

double num_normal_p(double z)
{
	return gsl_cdf_ugaussian_P(z);
}

double num_normal_q(double p)
{
	return is_share(p) ? gsl_cdf_ugaussian_Pinv(p) : NAN;
}

double num_t_p(double t, double nu)
{
	gsl_error_handler_t *was = quiet();
	double p = nu > 0 ? gsl_cdf_tdist_P(t, nu) : NAN;

	gsl_set_error_handler(was);
	return p;
}

double num_t_q(double p, double nu)
{
	gsl_error_handler_t *was = quiet();
	double t = NAN;

	if (is_share(p) && nu > 0)
		t = p < 0.5 ? gsl_cdf_tdist_Pinv(p, nu) : gsl_cdf_tdist_Qinv(1 - p, nu);
	gsl_set_error_handler(was);
	return t;
}

double num_chi2_p(double x, double nu)
{
	gsl_error_handler_t *was = quiet();
	double p = nu > 0 ? gsl_cdf_chisq_P(x, nu) : NAN;

	gsl_set_error_handler(was);
	return p;
}

double num_chi2_q(double p, double nu)
{
	gsl_error_handler_t *was = quiet();
	double x = NAN;

	if (is_share(p) && nu > 0)
		x = p < 0.5 ? gsl_cdf_chisq_Pinv(p, nu) : gsl_cdf_chisq_Qinv(1 - p, nu);
	gsl_set_error_handler(was);
	return x;
}

double num_f_p(double x, double nu1, double nu2)
{
	gsl_error_handler_t *was = quiet();
	double p = nu1 > 0 && nu2 > 0 ? gsl_cdf_fdist_P(x, nu1, nu2) : NAN;

	gsl_set_error_handler(was);
	return p;
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
double num_beta_q(double p, double a, double b)
{
	gsl_error_handler_t *was;
	double x;

	if (!(a >= 0 && b >= 0) || !is_share(p) || (a == 0 && b == 0))
		return NAN;
	if (a == 0 || b == 0)
		return a == 0 ? 0 : 1;
	was = quiet();
	x = gsl_cdf_beta_Pinv(p, a, b);
	if (!(fabs(gsl_cdf_beta_P(x, a, b) - p) < 1e-12))
		x = beta_q_halved(p, a, b);
	gsl_set_error_handler(was);
	return x;
}

static double binomial_p(int64_t k, double share, int64_t n)
{
	gsl_error_handler_t *was = quiet();
	double p = gsl_cdf_binomial_P((unsigned)k, share, (unsigned)n);

	gsl_set_error_handler(was);
	return p;
}

double num_binomial_p(int64_t k, double share, int64_t n)
{
	if (n < 0 || n > NUM_PIECES_MOST || !(share >= 0 && share <= 1))
		return NAN;
	if (k < 0)
		return 0;
	return k >= n ? 1 : binomial_p(k, share, n);
}

static double hypergeometric_p(int64_t k, int64_t bad, int64_t good, int64_t drawn)
{
	gsl_error_handler_t *was = quiet();
	double p = gsl_cdf_hypergeometric_P((unsigned)k, (unsigned)bad, (unsigned)good, (unsigned)drawn);

	gsl_set_error_handler(was);
	return p;
}

double num_hypergeometric_p(int64_t k, int64_t bad, int64_t all, int64_t drawn)
{
	if (bad < 0 || drawn < 0 || bad > all || drawn > all || all > NUM_PIECES_MOST)
		return NAN;
	if (k < 0)
		return 0;
	if (k >= bad || k >= drawn)
		return 1;
	return hypergeometric_p(k, bad, all - bad, drawn);
}

/* ---- shares */

struct num_interval num_share(int64_t k, int64_t n, double sure)
{
	struct num_interval i = { NAN, NAN };
	double tail = (1 - sure) / 2;

	if (n <= 0 || n > NUM_PIECES_MOST || k < 0 || k > n || !is_share(sure))
		return i;
	i.low = k == 0 ? 0 : num_beta_q(tail, (double)k, (double)(n - k + 1));
	i.high = k == n ? 1 : num_beta_q(1 - tail, (double)(k + 1), (double)(n - k));
	return i;
}

int64_t num_bad_most(int64_t k, int64_t n, int64_t all, double sure)
{
	int64_t low = k, high = all - (n - k);

	if (n <= 0 || k < 0 || k > n || n > all || all > NUM_PIECES_MOST || !is_share(sure))
		return -1;
	while (low < high) {
		int64_t mid = low + (high - low + 1) / 2;

		if (num_hypergeometric_p(k, mid, all, n) > 1 - sure)
			low = mid;
		else
			high = mid - 1;
	}
	return low;
}

/* ---- roots and integrals */

double num_root(double (*f)(double x, void *context), void *context, double low, double high, double within)
{
	gsl_error_handler_t *was = quiet();
	gsl_root_fsolver *solver = gsl_root_fsolver_alloc(gsl_root_fsolver_brent);
	gsl_function function = { f, context };
	double root = NAN;

	if (solver && gsl_root_fsolver_set(solver, &function, low, high) == GSL_SUCCESS)
		for (int i = 0; i < 200; i++) {
			if (gsl_root_fsolver_iterate(solver) != GSL_SUCCESS)
				break;
			root = gsl_root_fsolver_root(solver);
			if (gsl_root_test_interval(gsl_root_fsolver_x_lower(solver), gsl_root_fsolver_x_upper(solver), within, 0) ==
			    GSL_SUCCESS)
				break;
		}
	if (solver)
		gsl_root_fsolver_free(solver);
	gsl_set_error_handler(was);
	return root;
}

static double integral(double (*f)(double x, void *context), void *context, double low, double high)
{
	gsl_error_handler_t *was = quiet();
	gsl_integration_workspace *workspace = gsl_integration_workspace_alloc(PANELS);
	gsl_function function = { f, context };
	double sum = NAN, error;

	if (workspace) {
		int status = gsl_integration_qag(&function, low, high, 1e-13, 1e-11, PANELS, GSL_INTEG_GAUSS31, workspace, &sum, &error);

		if (status != GSL_SUCCESS && status != GSL_EROUND)
			sum = NAN;
		gsl_integration_workspace_free(workspace);
	}
	gsl_set_error_handler(was);
	return sum;
}

/* ---- tolerance factors */

struct factor {
	double n, nu, z, cover, sure, k;
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

	return num_normal_p(sqrt(f->n) * (f->k * s - f->z)) * sd_density(s, f->nu);
}

/* What chi-squared passes once in 10^14. */
static double chi2_far(double nu)
{
	gsl_error_handler_t *was = quiet();
	double x = gsl_cdf_chisq_Qinv(1e-14, nu);

	gsl_set_error_handler(was);
	return x;
}

/* Where s/sigma practically lies; for many pieces it is nearly normal, with an sd of 1 / sqrt(2 nu). */
static struct num_interval sd_reach(double nu)
{
	if (nu >= 2 * SERIES_FROM)
		return (struct num_interval){ 1 - 9 / sqrt(2 * nu), 1 + 9 / sqrt(2 * nu) };
	return (struct num_interval){ sqrt(num_chi2_q(1e-14, nu) / nu), sqrt(chi2_far(nu) / nu) };
}

static double one_excess(double k, void *context)
{
	struct factor *f = context;
	struct num_interval reach = sd_reach(f->nu);

	f->k = k;
	return integral(one_at, f, reach.low, reach.high) - f->sure;
}

static bool can_factor(double n, double cover, double sure)
{
	return n >= 2 && n <= NUM_PIECES_MOST && is_share(cover) && is_share(sure);
}

/* P(T <= k sqrt(n)) = sure for T noncentral t with n - 1 and z_cover sqrt(n) (e-Handbook, 7.2.6.3). */
double num_tolerance_one(double n, double cover, double sure)
{
	struct factor f = { .n = n, .nu = n - 1, .z = num_normal_q(cover), .sure = sure };
	double high = 1, low = -1;

	if (!can_factor(n, cover, sure))
		return NAN;
	while (one_excess(high, &f) < 0 && high < 1e9)
		high *= 2;
	while (one_excess(low, &f) > 0 && low > -1e9)
		low *= 2;
	return num_root(one_excess, &f, low, high, 1e-11 * high);
}

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
	double low = z_both, high = x + z_both, r = fmax(low, x + num_normal_q(cover));

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
	gsl_integration_glfixed_table *table = gsl_integration_glfixed_table_alloc(NODES);
	double reach = 8.3 / sqrt(n), z_both = num_normal_q((1 + cover) / 2), x;

	if (!table)
		return false;
	for (size_t i = 0; i < NODES; i++) {
		gsl_integration_glfixed_point(0, reach, i, &x, &t->weight[i], table);
		t->weight[i] *= sqrt(2 * n / M_PI) * exp(-n * x * x / 2);
		t->r[i] = width_at(x, cover, z_both);
	}
	gsl_integration_glfixed_table_free(table);
	t->nu = nu;
	return true;
}

/* How sure mean +- k sd covers the share, less what is asked. */
static double two_excess(double k, void *context)
{
	const struct nodes *t = context;
	double sum = 0;

	for (size_t i = 0; i < NODES; i++)
		sum += t->weight[i] * chi2_upper(t->nu * t->r[i] * t->r[i] / (k * k), t->nu);
	return sum - t->sure;
}

double num_tolerance_pooled(double n, double nu, double cover, double sure)
{
	struct nodes t = { .sure = sure };
	double low, high;

	if (!is_share(cover) || !is_share(sure) || !(n >= 1) || !(nu >= 1))
		return NAN;
	if (isinf(n))
		return num_normal_q((1 + cover) / 2);
	if (n > NUM_PIECES_MOST || nu > NUM_PIECES_MOST || !lay_nodes(&t, n, nu, cover))
		return NAN;
	/* Howe's factor is near (and from n = 5 at 90/95 a little below). */
	high = num_normal_q((1 + cover) / 2) * sqrt((1 + 1 / n) * nu / num_chi2_q(1 - sure, nu));
	low = high * 0.7;
	for (high *= 1.3; two_excess(high, &t) < 0 && high < 1e9; high *= 2)
		;
	while (two_excess(low, &t) > 0 && low > 1e-9)
		low /= 2;
	return num_root(two_excess, &t, low, high, 1e-11 * high);
}

double num_tolerance_two(double n, double cover, double sure)
{
	return n >= 2 ? num_tolerance_pooled(n, n - 1, cover, sure) : NAN;
}

double num_next_one(int64_t n, double sure)
{
	return n >= 2 ? num_t_q((1 + sure) / 2, (double)(n - 1)) * sqrt(1 + 1 / (double)n) : NAN;
}

double num_mean_of(int64_t n, double sure)
{
	return n >= 2 ? num_t_q((1 + sure) / 2, (double)(n - 1)) / sqrt((double)n) : NAN;
}

/* How sure the band's nearer end, in sds, covers a share, less what is asked; falls as the share grows. */
static double cover_excess(double cover, void *context)
{
	struct factor *f = context;
	struct nodes t = { .sure = f->sure };

	if (f->one) {
		f->z = num_normal_q(cover);
		return one_excess(f->k, f);
	}
	return lay_nodes(&t, f->n, f->nu, cover) ? two_excess(f->k, &t) : NAN;
}

double num_cover_of(double n, double low_sds, double high_sds, double sure)
{
	struct factor f = { .n = n, .nu = n - 1, .sure = sure, .k = fmin(low_sds, high_sds), .one = isinf(low_sds) || isinf(high_sds) };
	const double least = 1e-6, most = 1 - 1e-9;

	if (!can_factor(n, 0.5, sure) || !(f.k > 0) || cover_excess(least, &f) < 0)
		return 0;
	if (isinf(f.k) || cover_excess(most, &f) > 0)
		return most;
	return num_root(cover_excess, &f, least, most, 1e-12);
}

/* ---- without a distribution */

int64_t num_free_one(double cover, double sure)
{
	return is_share(cover) && is_share(sure) ? (int64_t)ceil(log(1 - sure) / log(cover) - 1e-9) : -1;
}

/* 1 - n c^(n-1) + (n-1) c^n: the sureness that least and most of n cover c (Wilks 1941). */
double num_free_sure(int64_t n, double cover)
{
	if (n < 2 || !is_share(cover))
		return n < 2 ? 0 : NAN;
	return 1 - (double)n * pow(cover, (double)(n - 1)) + (double)(n - 1) * pow(cover, (double)n);
}

/* The least n for which `enough` holds, which holds from some n on. */
static int64_t least_n(bool (*enough)(int64_t n, const struct factor *f), const struct factor *f, int64_t from)
{
	int64_t low = from, high = from + 1;

	while (!enough(high, f) && high < NUM_PIECES_MOST)
		high *= 2;
	while (low < high) {
		int64_t mid = low + (high - low) / 2;

		if (enough(mid, f))
			high = mid;
		else
			low = mid + 1;
	}
	return low >= NUM_PIECES_MOST ? -1 : low;
}

static bool free_two_enough(int64_t n, const struct factor *f)
{
	return num_free_sure(n, f->cover) >= f->sure - HAIR;
}

int64_t num_free_two(double cover, double sure)
{
	struct factor f = { .cover = cover, .sure = sure };

	return is_share(cover) && is_share(sure) ? least_n(free_two_enough, &f, 2) : -1;
}

static bool sample_enough(int64_t n, const struct factor *f)
{
	return num_binomial_p((int64_t)f->k, 1 - f->cover, n) <= 1 - f->sure + HAIR;
}

int64_t num_sample(double cover, double sure, int64_t bad)
{
	struct factor f = { .cover = cover, .sure = sure, .k = (double)bad };

	return is_share(cover) && is_share(sure) && bad >= 0 && bad < 1000000 ? least_n(sample_enough, &f, bad + 1) : -1;
}

/* In a lot that does not conform at least `out` are bad; n of it are drawn. */
struct lot {
	int64_t all, out, bad;
	double sure;
};

static bool lot_shown(int64_t n, const struct lot *lot)
{
	return num_hypergeometric_p(lot->bad, lot->out, lot->all, n) <= 1 - lot->sure + HAIR;
}

int64_t num_sample_of(int64_t all, double cover, double sure, int64_t bad)
{
	struct lot lot = { all, (int64_t)floor((double)all * (1 - cover) + 1e-9) + 1, bad, sure };
	int64_t low = bad + 1, high = all;

	if (!is_share(cover) || !is_share(sure) || all < 1 || all > NUM_PIECES_MOST || bad < 0 || bad >= lot.out || !lot_shown(all, &lot))
		return -1;
	while (low < high) {
		int64_t mid = low + (high - low) / 2;

		if (lot_shown(mid, &lot))
			high = mid;
		else
			low = mid + 1;
	}
	return low;
}

/* The l-th least is a bound when fewer than l of n below it would be a wonder. */
int64_t num_free_order(int64_t n, double cover, double sure)
{
	int64_t low = 0, high = n;

	if (n < 0 || n > NUM_PIECES_MOST || !is_share(cover) || !is_share(sure))
		return -1;
	while (low < high) {
		int64_t mid = low + (high - low + 1) / 2;

		if (num_binomial_p(mid - 1, 1 - cover, n) <= 1 - sure + HAIR)
			low = mid;
		else
			high = mid - 1;
	}
	return low;
}

/* ---- control charts */

struct num_interval num_individuals(const double *x, int64_t n, double *mean)
{
	double sum = 0, ranges = 0, reach;

	*mean = NAN;
	if (n < 2)
		return (struct num_interval){ NAN, NAN };
	for (int64_t i = 0; i < n; i++) {
		sum += x[i];
		ranges += i ? fabs(x[i] - x[i - 1]) : 0;
	}
	*mean = sum / (double)n;
	reach = 3 * ranges / (double)(n - 1) / D2;
	return (struct num_interval){ *mean - reach, *mean + reach };
}

struct num_interval num_ewma(double start, double s, double lambda, double k)
{
	double reach = k * s * sqrt(lambda / (2 - lambda));

	return (struct num_interval){ start - reach, start + reach };
}
