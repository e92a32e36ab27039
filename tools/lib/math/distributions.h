/*
 * distributions.h - distributions: P(X <= x), and the x of a probability.
 *
 * They are those of the GNU Scientific Library, which only distributions.c, quadrature.c and least_squares.c
 * see, linked statically so that a filter that asks for none of it starts as fast as before. Probabilities
 * are fractions of 1, not per cent. A question that has no answer (a probability of 0 or 1 where that leads
 * nowhere, no degrees of freedom) gives NAN, never an abort.
 */
#ifndef WITHY_DISTRIBUTIONS_H
#define WITHY_DISTRIBUTIONS_H

#include <stdbool.h>
#include <stdint.h>

#include "math/sampling.h"
#include "math/tolerance.h"

enum { NUM_PIECES_MOST = 1000000 }; /* counted; with more the library's tails are no longer right */

/* Whether `p` lies between 0 and 1 and is neither. */
bool num_is_probability(double p);

double num_normal_p(double z);
double num_normal_q(double p);
double num_t_q(double p, double nu);
double num_chi2_q(double p, double nu);
double num_chi2_upper_p(double x, double nu);              /* P(X > x) */
double num_chi2_upper_q(double p, double nu);              /* the x that is passed with this probability */
double num_beta_q(double p, double a, double b);           /* exact at a or b of 0 */
double num_binomial_p(int64_t k, double share, int64_t n); /* P(X <= k) */
double num_hypergeometric_p(int64_t k, int64_t bad, int64_t all, int64_t drawn); /* P(X <= k) */

#endif
