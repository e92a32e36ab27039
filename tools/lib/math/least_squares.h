/*
 * least_squares.h - straight least squares, and small symmetric systems.
 *
 * The solvers are those of the GNU Scientific Library, and it is linked statically. Parameters and
 * matrices are plain arrays; matrices go row by row.
 */
#ifndef WITHY_LEAST_SQUARES_H
#define WITHY_LEAST_SQUARES_H

#include <stdbool.h>
#include <stddef.h>

#include "base/mem.h"

enum fit_outcome {
	FIT_GOOD,
	FIT_UNFIT,     /* fewer observations than parameters, or a value that is not a finite number */
	FIT_LOOSE      /* the data do not settle every parameter: no standard errors */
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
