#include "math/least_squares.h"

#include <gsl/gsl_blas.h>
#include <gsl/gsl_errno.h>
#include <gsl/gsl_linalg.h>
#include <gsl/gsl_multifit.h>
#include <gsl/gsl_multifit_nlinear.h>
#include <math.h>
#include <stdlib.h>

#include "base/mem.h"

enum { WAYS = 5, STEPS_MOST = 1000, POLISH_MOST = 50 };

/* Part of the residuals' length that may still lie along the tangent plane at rest. */
static const double AT_REST = 1e-6;

/* Singular values under this part of the greatest say nothing of their direction. */
static const double NO_RANK = 1e-15;

struct work {
	fit_model *model;
	void *context;
	size_t n, p;
	double *residual, *jacobian;
};

/* ---- what the caller's model is to the library */

static bool all_finite(const double *v, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (!isfinite(v[i]))
			return false;
	return true;
}

static int give_residuals(const gsl_vector *x, void *data, gsl_vector *f)
{
	struct work *w = data;

	w->model(x->data, w->context, w->residual, NULL);
	for (size_t i = 0; i < w->n; i++)
		gsl_vector_set(f, i, w->residual[i]);
	return all_finite(w->residual, w->n) ? GSL_SUCCESS : GSL_EDOM;
}

static int give_jacobian(const gsl_vector *x, void *data, gsl_matrix *j)
{
	struct work *w = data;

	w->model(x->data, w->context, w->residual, w->jacobian);
	for (size_t i = 0; i < w->n; i++)
		for (size_t k = 0; k < w->p; k++)
			gsl_matrix_set(j, i, k, w->jacobian[i * w->p + k]);
	return all_finite(w->jacobian, w->n * w->p) ? GSL_SUCCESS : GSL_EDOM;
}

/* ---- one way down */

static double squares(const double *v, size_t n)
{
	double sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += v[i] * v[i];
	return sum;
}

static gsl_multifit_nlinear_parameters way(int which)
{
	gsl_multifit_nlinear_parameters set = gsl_multifit_nlinear_default_parameters();

	set.trs = which == 1 ? gsl_multifit_nlinear_trs_lmaccel : which == 2 ? gsl_multifit_nlinear_trs_dogleg : gsl_multifit_nlinear_trs_lm;
	set.scale = which == 3 ? gsl_multifit_nlinear_scale_marquardt : which == 4 ? gsl_multifit_nlinear_scale_levenberg : gsl_multifit_nlinear_scale_more;
	set.solver = gsl_multifit_nlinear_solver_qr;
	return set;
}

/* Goes down from `at`, which becomes the end; whether it came anywhere. */
static bool descend(struct work *w, int which, double *at)
{
	gsl_multifit_nlinear_parameters set = way(which);
	gsl_multifit_nlinear_workspace *workspace = gsl_multifit_nlinear_alloc(gsl_multifit_nlinear_trust, &set, w->n, w->p);
	gsl_multifit_nlinear_fdf fdf = { .f = give_residuals, .df = give_jacobian, .n = w->n, .p = w->p, .params = w };
	gsl_vector_const_view start = gsl_vector_const_view_array(at, w->p);
	bool came = false;
	int info;

	if (workspace && gsl_multifit_nlinear_init(&start.vector, &fdf, workspace) == GSL_SUCCESS) {
		gsl_multifit_nlinear_driver(STEPS_MOST, 1e-13, 1e-13, 0, NULL, NULL, &info, workspace);
		memcpy(at, gsl_multifit_nlinear_position(workspace)->data, w->p * sizeof *at);
		came = all_finite(at, w->p);
	}
	if (workspace)
		gsl_multifit_nlinear_free(workspace);
	return came;
}

/* ---- a careful way, for starts from which the library leaps off */

/* Longest change of a parameter in one careful step, against its own size. */
static const double CAREFUL = 0.2;

/* The damped step from `at`; false where the model has no answer there. */
static bool damped(struct work *w, const double *at, double damping, double *step)
{
	double a[FIT_PARAMETERS_MOST * FIT_PARAMETERS_MOST] = { 0 }, longest = 1;

	w->model(at, w->context, w->residual, w->jacobian);
	memset(step, 0, w->p * sizeof *step);
	for (size_t i = 0; i < w->n; i++)
		for (size_t k = 0; k < w->p; k++) {
			step[k] -= w->jacobian[i * w->p + k] * w->residual[i];
			for (size_t m = 0; m <= k; m++)
				a[k * w->p + m] += w->jacobian[i * w->p + k] * w->jacobian[i * w->p + m];
		}
	for (size_t k = 0; k < w->p; k++) {
		a[k * w->p + k] += damping * a[k * w->p + k] + 1e-300;
		for (size_t m = 0; m < k; m++)
			a[m * w->p + k] = a[k * w->p + m];
	}
	if (!fit_root(a, w->p))
		return false;
	fit_solve(a, w->p, step);
	for (size_t k = 0; k < w->p; k++)
		longest = fmax(longest, fabs(step[k]) / (CAREFUL * fabs(at[k]) + 1e-12));
	for (size_t k = 0; k < w->p; k++)
		step[k] /= longest;
	return true;
}

/* Moves `at` down in steps that are short against the parameters. */
static void creep(struct work *w, double damping, double *at)
{
	double step[FIT_PARAMETERS_MOST], next[FIT_PARAMETERS_MOST], rss;

	for (int i = 0; i < STEPS_MOST && damping < 1e12; i++) {
		if (!damped(w, at, damping, step))
			return;
		rss = squares(w->residual, w->n);
		for (size_t k = 0; k < w->p; k++)
			next[k] = at[k] + step[k];
		w->model(next, w->context, w->residual, NULL);
		if (squares(w->residual, w->n) < rss) {
			memcpy(at, next, w->p * sizeof *next);
			damping *= 0.5;
		} else
			damping *= 4;
	}
}

/* ---- at the end of it */

/*
 * The step of Gauss and Newton from `at`, by singular values of the balanced Jacobian, and how much
 * of the residuals lies along it. `settled` says whether the data settle every parameter. False where
 * something is not finite.
 */
static bool newton(struct work *w, const double *at, double *step, double *cov, double *along, bool *settled)
{
	gsl_multifit_linear_workspace *workspace = gsl_multifit_linear_alloc(w->n, w->p);
	gsl_matrix_view j = gsl_matrix_view_array(w->jacobian, w->n, w->p);
	gsl_vector_view r = gsl_vector_view_array(w->residual, w->n), s = gsl_vector_view_array(step, w->p);
	gsl_matrix_view c = gsl_matrix_view_array(cov, w->p, w->p);
	double left = NAN, all;
	size_t rank = 0;
	bool done;

	w->model(at, w->context, w->residual, w->jacobian);
	done = all_finite(w->residual, w->n) && all_finite(w->jacobian, w->n * w->p) &&
		gsl_multifit_linear_tsvd(&j.matrix, &r.vector, NO_RANK, &s.vector, &c.matrix, &left, &rank, workspace) == GSL_SUCCESS;
	all = squares(w->residual, w->n);
	*along = all > 0 ? sqrt(fmax(0, all - left) / all) : 0;
	gsl_multifit_linear_free(workspace);
	*settled = rank == w->p;
	return done && isfinite(left);
}

/* Takes Newton's steps as long as they lead down: the last digits. */
static bool polish(struct work *w, struct fit *fit)
{
	double step[FIT_PARAMETERS_MOST], next[FIT_PARAMETERS_MOST], along, rss;

	for (int i = 0; i < POLISH_MOST; i++) {
		if (!newton(w, fit->parameter, step, fit->covariance, &along, &fit->settled))
			return false;
		fit->rss = squares(w->residual, w->n);
		for (size_t k = 0; k < w->p; k++)
			next[k] = fit->parameter[k] - step[k];
		w->model(next, w->context, w->residual, NULL);
		rss = squares(w->residual, w->n);
		if (!(rss < fit->rss))
			break;
		memcpy(fit->parameter, next, w->p * sizeof *next);
	}
	return along < AT_REST || fit->rss == 0;
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

/* Whether a try is to be preferred to what was found before. */
static bool betters(const struct fit *tried, const struct fit *best)
{
	bool rests = tried->outcome == FIT_GOOD, rested = best->outcome == FIT_GOOD;

	if (!isfinite(best->rss) || rests != rested)
		return rests || !rested;
	return tried->rss < best->rss * (1 - 1e-9);
}

static void try_way(struct work *w, int which, const double *start, struct fit *best)
{
	struct fit tried = *best;

	memcpy(tried.parameter, start, w->p * sizeof *start);
	if (which >= WAYS)
		creep(w, pow(10, which - WAYS - 3), tried.parameter);
	if (!descend(w, which % WAYS, tried.parameter))
		return;
	tried.outcome = polish(w, &tried) ? FIT_GOOD : FIT_DIVERGED;
	if (betters(&tried, best))
		*best = tried;
}

/*
 * The best of all ways down; the careful ones only where no other came to rest, and only where these
 * did not either, the same again from a tenth and a hundredth of the start: rates that are far too
 * high leave no slope to go down by.
 */
static void best_way(struct work *w, const double *start, struct fit *fit)
{
	double at[FIT_PARAMETERS_MOST];

	memcpy(at, start, w->p * sizeof *at);
	for (int part = 0; part < 3 && fit->outcome != FIT_GOOD; part++) {
		for (int which = 0; which < WAYS; which++)
			try_way(w, which, at, fit);
		for (int which = WAYS; which < 2 * WAYS && fit->outcome != FIT_GOOD; which++)
			try_way(w, which, at, fit);
		for (size_t k = 0; k < w->p; k++)
			at[k] /= 10;
	}
	if (!isfinite(fit->rss))
		fit->outcome = FIT_DIVERGED;
}

void fit_curve(fit_model *model, void *context, size_t n, size_t p, const double *start, double level_rss, struct fit *fit)
{
	struct work w = { model, context, n, p, NULL, NULL };
	gsl_error_handler_t *was;

	fit_empty(fit, n, p);
	if (p == 0 || p > FIT_PARAMETERS_MOST || n < p || !all_finite(start, p))
		return;
	w.residual = mem_array(n, sizeof *w.residual);
	w.jacobian = mem_array(n * p, sizeof *w.jacobian);
	was = gsl_set_error_handler_off();
	best_way(&w, start, fit);
	gsl_set_error_handler(was);
	if (fit->outcome == FIT_GOOD && fit->rss >= level_rss)
		fit->outcome = FIT_LEVEL;
	set_errors(fit);
	free(w.residual);
	free(w.jacobian);
}

/* ---- straight */

void fit_line(const double *x, const double *y, size_t n, size_t p, struct fit *fit)
{
	gsl_multifit_linear_workspace *workspace;
	gsl_error_handler_t *was;

	fit_empty(fit, n, p);
	if (p == 0 || p > FIT_PARAMETERS_MOST || n < p || !all_finite(x, n * p) || !all_finite(y, n))
		return;
	was = gsl_set_error_handler_off();
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
	gsl_set_error_handler(was);
	set_errors(fit);
}

/* ---- small symmetric systems */

bool fit_root(double *a, size_t n)
{
	gsl_matrix_view m = gsl_matrix_view_array(a, n, n);
	gsl_error_handler_t *was = gsl_set_error_handler_off();
	bool done = all_finite(a, n * n) && gsl_linalg_cholesky_decomp1(&m.matrix) == GSL_SUCCESS;

	gsl_set_error_handler(was);
	for (size_t i = 0; i < n; i++)
		for (size_t k = i + 1; k < n; k++)
			a[i * n + k] = 0;
	return done;
}

void fit_spread(const double *root, size_t n, double *z)
{
	for (size_t i = n; i-- > 0;) {
		for (size_t k = i + 1; k < n; k++)
			z[i] -= root[k * n + i] * z[k];
		z[i] /= root[i * n + i];
	}
}

void fit_solve(const double *root, size_t n, double *b)
{
	for (size_t i = 0; i < n; i++) {
		for (size_t k = 0; k < i; k++)
			b[i] -= root[i * n + k] * b[k];
		b[i] /= root[i * n + i];
	}
	fit_spread(root, n, b);
}

void fit_inverse(const double *root, size_t n, double *inverse)
{
	for (size_t i = 0; i < n; i++) {
		double *row = inverse + i * n;

		memset(row, 0, n * sizeof *row);
		row[i] = 1;
		fit_solve(root, n, row);
	}
}
