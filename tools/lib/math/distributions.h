/*
 * distributions.h - distributions: P(X <= x), and the x of a probability.
 *
 * They are those of the GNU Scientific Library, which only distributions.c, numeric.c, least_squares.c and
 * gsl_quiet.c see, linked statically so that a filter that asks for none of it starts as fast as before. Probabilities
 * are fractions of 1, not per cent. A question that has no answer (a probability of 0 or 1 where that leads
 * nowhere, no degrees of freedom) gives NAN, never an abort.
 */
#ifndef WITHY_DISTRIBUTIONS_H
#define WITHY_DISTRIBUTIONS_H

#include <stdbool.h>
#include <stdint.h>

enum { DIST_PIECES_MOST = 1000000 }; /* counted; with more the library's tails are no longer right */

/* Whether `p` lies between 0 and 1 and is neither. */
bool dist_is_probability(double p);

double dist_normal_p(double z);
double dist_normal_q(double p);
double dist_t_q(double p, double nu);
double dist_t_p(double t, double nu);                       /* P(T <= t) */
double dist_f_upper_p(double f, double nu1, double nu2);    /* P(F > f) */
double dist_chi2_q(double p, double nu);
double dist_chi2_p(double x, double nu);                    /* P(X <= x) */
double dist_chi2_upper_p(double x, double nu);              /* P(X > x) */
double dist_chi2_upper_q(double p, double nu);              /* the x that is passed with this probability */
double dist_beta_q(double p, double a, double b);           /* exact at a or b of 0 */
double dist_binomial_p(int64_t k, double share, int64_t n); /* P(X <= k) */
double dist_hypergeometric_p(int64_t k, int64_t bad, int64_t all, int64_t drawn); /* P(X <= k) */

#endif
