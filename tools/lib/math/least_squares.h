/*
 * least_squares.h - least squares, straight and curved.
 *
 * The solvers are those of the GNU Scientific Library, which only distributions.c and least_squares.c see. Its
 * curved one can report success on a fit that is wrong, so that nothing it says is taken on trust:
 * several ways down are tried, the best end is kept, and it is called good only when it is finite,
 * better than a level line, stands still (the residuals have nothing left along the tangent plane)
 * and gives standard errors. Jacobians are the caller's, in closed form where they exist.
 *
 * Parameters, residuals and matrices are plain arrays; matrices go row by row.
 */
#ifndef WITHY_LEAST_SQUARES_H
#define WITHY_LEAST_SQUARES_H

#include <stdbool.h>
#include <stddef.h>

enum fit_outcome {
	FIT_GOOD,
	FIT_UNFIT,     /* fewer observations than parameters, or something that is no number */
	FIT_DIVERGED,  /* no way down came to rest */
	FIT_LEVEL,     /* no better than a level line */
	FIT_LOOSE      /* at rest, but the data do not settle every parameter: no standard errors */
};

enum { FIT_PARAMETERS_MOST = 24 };

struct fit {
	enum fit_outcome outcome;
	bool settled;                       /* whether the data settle every parameter */
	size_t n, p;
	double parameter[FIT_PARAMETERS_MOST];
	double error[FIT_PARAMETERS_MOST];  /* standard errors; NAN where there are none */
	double covariance[FIT_PARAMETERS_MOST * FIT_PARAMETERS_MOST]; /* p * p of them, row by row */
	double rss, sd;                     /* sum of squares, and sqrt(rss / (n - p)) */
};

/*
 * What the model says: fills residual[n], model less observed, and where `jacobian` is not NULL
 * its derivatives, n rows of p. May give anything that is not finite where the model has no answer.
 */
typedef void fit_model(const double *parameter, void *context, double *residual, double *jacobian);

/*
 * Fits `n` residuals from `start` (p of them). `level_rss` is the sum of squares of a level line
 * through the same observations, which a good fit has to better; NAN asks for no such check.
 */
void fit_curve(fit_model *model, void *context, size_t n, size_t p, const double *start, double level_rss, struct fit *fit);

/* y = x b by singular values with balanced columns: n rows of p in `x`. */
void fit_line(const double *x, const double *y, size_t n, size_t p, struct fit *fit);

/*
 * Takes the root of a symmetric, positive definite matrix of n rows in its place, lower triangle
 * (Cholesky's; the rest is 0). False, and the matrix undefined, where it is not positive definite.
 */
bool fit_root(double *a, size_t n);

/* Given that root, turns b into the solution of A x = b, in place. */
void fit_solve(const double *root, size_t n, double *b);

/* Given that root, turns z into the solution of R' x = z: of unit normals, ones with covariance 1 / A. */
void fit_spread(const double *root, size_t n, double *z);

/* Given that root, the inverse of A. */
void fit_inverse(const double *root, size_t n, double *inverse);

#endif
