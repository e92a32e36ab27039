/*
 * prediction.h - what a straight fit says of the next observation, of one that it was fitted to, and of a smaller fit.
 *
 * An observation at x has the value x b. Its error has two parts: how far off the fit itself may be, sqrt(x' C x), and the
 * scatter of single observations, `sd`. Divided by the whole error, a new observation is distributed as Student's t with
 * n - p degrees of freedom, if the scatter is normal and alike everywhere (Draper and Smith, Applied Regression Analysis,
 * 3rd ed., 3.1 and 8.1). A fit that is not FIT_GOOD, or has no observation to spare, predicts NAN.
 */
#ifndef WITHY_PREDICTION_H
#define WITHY_PREDICTION_H

#include "math/least_squares.h"

struct prediction {
	double value;
	double line_error;   /* of the fit at x */
	double error;        /* of a new observation */
	double df;
};

/* Of a new observation; x has as many values as the fit has parameters. */
struct prediction prediction_at(const struct fit *fit, const double *x);

/* What a new observation is below with the chance p; and what the line itself is below. */
double prediction_bound(const struct prediction *at, double p);
double prediction_line_bound(const struct prediction *at, double p);

/* The same of the mean of so many new observations at x. */
double prediction_mean_bound(const struct prediction *at, double p, double n);

/* The chance that an estimate is so far from 0, or farther, where the parameter is 0: Student's t, two-sided. */
double fit_parameter_p(const struct fit *fit, size_t parameter);

/* The chance that a new observation is from low to high; either may be infinite. */
double prediction_chance(const struct prediction *at, double low, double high);

struct fit_residual {
	double residual;
	double leverage;     /* the part of its own value that the observation has in its fitted value, 0 to 1 */
	double deleted;      /* studentized by a fit without it: Student's t with n - p - 1; NAN where there is none */
};

/* Of an observation that is one of those fitted. */
struct fit_residual fit_residual_at(const struct fit *fit, const double *x, double y);

/* Whether a larger fit of the same observations explains more than chance: the extra sum of squares. */
struct fit_gain {
	double f, p;
	double df, rest_df;  /* of the parameters more, and of the larger fit */
};

/* NAN where the larger fit is not settled, or has no more parameters. */
struct fit_gain fit_gain_of(const struct fit *small, const struct fit *large);

#endif
