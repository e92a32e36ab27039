#include "math/least_squares.h"

#include <gsl/gsl_errno.h>
#include <gsl/gsl_multifit.h>
#include <math.h>

#include "math/gsl_quiet.h"

/* Singular values under this part of the greatest say nothing of their direction. */
static const double NO_RANK = 1e-15;

static bool all_finite(const double *v, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (!isfinite(v[i]))
			return false;
	return true;
}

static void set_errors(struct fit *fit)
{
	fit->sd = fit->n > fit->p ? sqrt(fit->rss / (double)(fit->n - fit->p)) : NAN;
	for (size_t k = 0; k < fit->p; k++) {
		fit->error[k] = sqrt(fit->covariance[k * fit->p + k]);
		if (fit->outcome == FIT_GOOD && (!fit->settled || !isfinite(fit->error[k])))
			fit->outcome = FIT_LOOSE;
	}
}

static void fit_empty(struct fit *fit, size_t n, size_t p)
{
	*fit = (struct fit){ .outcome = FIT_UNFIT, .n = n, .p = p, .rss = NAN, .sd = NAN };
	for (size_t k = 0; k < FIT_PARAMETERS_MOST; k++)
		fit->parameter[k] = fit->error[k] = NAN;
}

void fit_line(const double *x, const double *y, size_t n, size_t p, struct fit *fit)
{
	gsl_multifit_linear_workspace *workspace;

	fit_empty(fit, n, p);
	if (p == 0 || p > FIT_PARAMETERS_MOST || n < p || !all_finite(x, n * p) || !all_finite(y, n))
		return;
	gsl_quiet();
	workspace = gsl_multifit_linear_alloc(n, p);
	{
		gsl_matrix_const_view m = gsl_matrix_const_view_array(x, n, p);
		gsl_vector_const_view v = gsl_vector_const_view_array(y, n);
		gsl_vector_view b = gsl_vector_view_array(fit->parameter, p);
		gsl_matrix_view c = gsl_matrix_view_array(fit->covariance, p, p);

		if (gsl_multifit_linear(&m.matrix, &v.vector, &b.vector, &c.matrix, &fit->rss, workspace) == GSL_SUCCESS)
			fit->outcome = FIT_GOOD;
		fit->settled = gsl_multifit_linear_rank(NO_RANK, workspace) == p;
	}
	gsl_multifit_linear_free(workspace);
	set_errors(fit);
}

/* ---- small symmetric systems */

static double product(const double *x, const double *y, size_t n)
{
	double sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += x[i] * y[i];
	return sum;
}

/* Column by column; small systems do not repay the calls of a library. */
bool fit_root(double *a, size_t n)
{
	for (size_t j = 0; j < n; j++) {
		double pivot, by;

		for (size_t i = j; i < n; i++)
			a[i * n + j] -= product(a + i * n, a + j * n, j);
		pivot = a[j * n + j];
		if (!(pivot > 0 && isfinite(pivot)))
			return false;
		by = 1 / sqrt(pivot);
		for (size_t i = j; i < n; i++)
			a[i * n + j] *= by;
		for (size_t i = 0; i < j; i++)
			a[i * n + j] = 0;
	}
	return true;
}

void fit_spread(const double *root, size_t n, double *z)
{
	for (size_t i = n; i-- > 0;) {
		for (size_t k = i + 1; k < n; k++)
			z[i] -= root[k * n + i] * z[k];
		z[i] /= root[i * n + i];
	}
}

/* All before `first` is 0. */
static void solve_from(const double *root, size_t n, size_t first, double *b)
{
	for (size_t i = first; i < n; i++) {
		for (size_t k = first; k < i; k++)
			b[i] -= root[i * n + k] * b[k];
		b[i] /= root[i * n + i];
	}
	fit_spread(root, n, b);
}

void fit_solve(const double *root, size_t n, double *b)
{
	solve_from(root, n, 0, b);
}

void fit_inverse(const double *root, size_t n, double *inverse)
{
	for (size_t i = 0; i < n; i++) {
		double *row = inverse + i * n;

		memset(row, 0, n * sizeof *row);
		row[i] = 1;
		solve_from(root, n, i, row);
	}
}
