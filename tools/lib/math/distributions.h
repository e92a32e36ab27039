/*
 * distributions.h - distributions, intervals and tolerance factors.
 *
 * The distributions, roots and integrals are those of the GNU Scientific Library, which only
 * distributions.c and least_squares.c see, linked statically so that a filter that asks for none of it starts as
 * fast as before. Shares and probabilities are fractions of 1, not per cent. A question that has no
 * answer (no pieces, a probability of 0 or 1 where that leads nowhere) gives NAN, never an abort.
 *
 * Four probes in one stack are no random sample of a charge. What these functions say of n pieces
 * is the best case, and the n is of pieces, never of readings.
 */
#ifndef WITHY_DISTRIBUTIONS_H
#define WITHY_DISTRIBUTIONS_H

#include <stdbool.h>
#include <stdint.h>

enum { NUM_PIECES_MOST = 1000000 }; /* counted; with more the library's tails are no longer right */

/* ---- distributions: P(X <= x), and the x of a probability */

double num_normal_p(double z);
double num_normal_q(double p);
double num_t_p(double t, double nu);
double num_t_q(double p, double nu);
double num_chi2_p(double x, double nu);
double num_chi2_q(double p, double nu);
double num_f_p(double x, double nu1, double nu2);
double num_beta_q(double p, double a, double b);           /* exact at a or b of 0 */
double num_binomial_p(int64_t k, double share, int64_t n); /* P(X <= k) */
double num_hypergeometric_p(int64_t k, int64_t bad, int64_t all, int64_t drawn); /* P(X <= k) */

/* ---- intervals of a share: k of n */

struct num_interval {
	double low, high;
};

/* Clopper and Pearson's, two-sided at `sure`; one-sided bounds come from sure = 2 * s - 1. */
struct num_interval num_share(int64_t k, int64_t n, double sure);

/* The upper limit, at `sure`, of the number out of band among `all` pieces when k of n drawn were. */
int64_t num_bad_most(int64_t k, int64_t n, int64_t all, double sure);

/* ---- normal tolerance factors: mean +- k * sd of n pieces */

/* One-sided: at least `cover` of all lies above mean - k1 * sd, at `sure` (noncentral t). */
double num_tolerance_one(double n, double cover, double sure);

/* Two-sided and exact: at least `cover` lies within mean +- k2 * sd, at `sure`. INFINITY is an n. */
double num_tolerance_two(double n, double cover, double sure);

/*
 * The same where the sd has `nu` degrees of freedom, not n - 1: m samples of n each, whose sds are
 * pooled, have nu = m (n - 1) (ISO 16269-6, Annex F).
 */
double num_tolerance_pooled(double n, double nu, double cover, double sure);

/* The next single piece lies within mean +- f * sd, at `sure`; the mean itself within mean +- f * sd. */
double num_next_one(int64_t n, double sure);
double num_mean_of(int64_t n, double sure);

/*
 * The share that lies in a band at `sure`, given how far its ends are from the mean in sds (both as
 * distances, one may be INFINITY: then only the other counts). Of two ends the nearer is taken for
 * both, so that it is never too much. 0 where the mean is outside or n is
 * under 2; at most 1 - 1e-9.
 */
double num_cover_of(double n, double low_sds, double high_sds, double sure);

/* ---- without a distribution */

/* How many pieces so that the least (one end) or the least and the most (two) cover `cover` at `sure`. */
int64_t num_free_one(double cover, double sure);
int64_t num_free_two(double cover, double sure);

/* How sure n pieces are that their least and most cover `cover`. */
double num_free_sure(int64_t n, double cover);

/* How many pieces to measure so that, with at most `bad` of them out, `cover` conform at `sure`. */
int64_t num_sample(double cover, double sure, int64_t bad);

/* The same in a lot of `all` pieces, of which none is put back; -1 where `bad` out say nothing. */
int64_t num_sample_of(int64_t all, double cover, double sure, int64_t bad);

/*
 * The greatest l for which the l-th least of n has at least `cover` above it at `sure` (and the l-th
 * greatest as much below it); 0 for none.
 */
int64_t num_free_order(int64_t n, double cover, double sure);

/* ---- control charts */

/* The limits of an individuals chart: mean +- 3 * (mean moving range) / d2, d2 = 1.128. n >= 2. */
struct num_interval num_individuals(const double *x, int64_t n, double *mean);

/* The settled limits of an EWMA chart: start +- k * s * sqrt(lambda / (2 - lambda)). */
struct num_interval num_ewma(double start, double s, double lambda, double k);

/* ---- a root of f between low and high, where it has different signs; NAN when it has not */
double num_root(double (*f)(double x, void *context), void *context, double low, double high, double within);

#endif
