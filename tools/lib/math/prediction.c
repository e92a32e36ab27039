#include "math/prediction.h"

#include <math.h>

#include "math/distributions.h"

/* x' C x, which rounding may leave a hair below 0. */
static double variance_at(const struct fit *fit, const double *x)
{
	double sum = 0;

	for (size_t i = 0; i < fit->p; i++)
		for (size_t k = 0; k < fit->p; k++)
			sum += x[i] * fit->covariance[i * fit->p + k] * x[k];
	return fmax(sum, 0);
}

static double value_at(const struct fit *fit, const double *x)
{
	double sum = 0;

	for (size_t i = 0; i < fit->p; i++)
		sum += x[i] * fit->parameter[i];
	return sum;
}

static bool can_tell(const struct fit *fit)
{
	return fit->outcome == FIT_GOOD && fit->n > fit->p;
}

struct prediction prediction_at(const struct fit *fit, const double *x)
{
	struct prediction at = { NAN, NAN, NAN, NAN };
	double variance;

	if (!can_tell(fit))
		return at;
	variance = variance_at(fit, x);
	at.value = value_at(fit, x);
	at.line_error = sqrt(variance);
	at.error = sqrt(variance + fit->sd * fit->sd);
	at.df = (double)(fit->n - fit->p);
	return at;
}

double prediction_bound(const struct prediction *at, double p)
{
	return at->value + dist_t_q(p, at->df) * at->error;
}

double prediction_line_bound(const struct prediction *at, double p)
{
	return at->value + dist_t_q(p, at->df) * at->line_error;
}

double prediction_mean_bound(const struct prediction *at, double p, double n)
{
	double scatter = at->error * at->error - at->line_error * at->line_error;

	return at->value + dist_t_q(p, at->df) * sqrt(at->line_error * at->line_error + scatter / n);
}

double fit_parameter_p(const struct fit *fit, size_t parameter)
{
	if (!can_tell(fit) || !(fit->error[parameter] > 0))
		return NAN;
	return 2 * dist_t_p(-fabs(fit->parameter[parameter] / fit->error[parameter]), (double)(fit->n - fit->p));
}

static double chance_below(const struct prediction *at, double bound)
{
	return isinf(bound) ? bound > 0 : dist_t_p((bound - at->value) / at->error, at->df);
}

/* Where nothing scatters, it is either sure or impossible. */
double prediction_chance(const struct prediction *at, double low, double high)
{
	if (isnan(at->value))
		return NAN;
	if (at->error > 0)
		return fmax(chance_below(at, high) - chance_below(at, low), 0);
	return low <= at->value && at->value <= high;
}

struct fit_residual fit_residual_at(const struct fit *fit, const double *x, double y)
{
	struct fit_residual r = { NAN, NAN, NAN };
	double left, variance;

	if (!can_tell(fit))
		return r;
	r.residual = y - value_at(fit, x);
	r.leverage = fit->sd > 0 ? variance_at(fit, x) / (fit->sd * fit->sd) : NAN;
	left = 1 - r.leverage;
	variance = (fit->rss - r.residual * r.residual / left) / ((double)(fit->n - fit->p) - 1);
	if (fit->n > fit->p + 1 && left > 1e-9 && variance > 0)
		r.deleted = r.residual / sqrt(variance * left);
	return r;
}

struct fit_gain fit_gain_of(const struct fit *small, const struct fit *large)
{
	struct fit_gain gain = { NAN, NAN, NAN, NAN };

	if (small->outcome != FIT_GOOD || !can_tell(large) || large->p <= small->p || large->n != small->n || !(large->rss > 0))
		return gain;
	gain.df = (double)(large->p - small->p);
	gain.rest_df = (double)(large->n - large->p);
	gain.f = fmax(small->rss - large->rss, 0) / gain.df / (large->rss / gain.rest_df);
	gain.p = dist_f_upper_p(gain.f, gain.df, gain.rest_df);
	return gain;
}
