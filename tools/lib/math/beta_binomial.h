/*
 * beta_binomial.h - how many of n pieces are of a sort, when the proportion itself is only known as a beta(a, b).
 *
 *	P(X = k) = C(n, k) B(k + a, n - k + b) / B(a, b)
 *
 * (Skellam 1948; from memory, checked against R in tests/outside/beta_binomial.R.) The masses are computed one from
 * the other, without a gamma function. With an `a` of 0 or less no piece is of that sort, with a `b` of 0 or less
 * all are. No function has a state.
 */
#ifndef WITHY_BETA_BINOMIAL_H
#define WITHY_BETA_BINOMIAL_H

#include <stddef.h>
#include <stdint.h>

struct beta {
	double a, b;
};

/* A beta of this mean and this standard deviation. Where no beta is as wide as that, the widest with a sum of 0.01. */
struct beta beta_of(double mean, double sd);

/* The product of two independent proportions, as a beta of its mean and variance. */
struct beta beta_product(struct beta x, struct beta y);

/* The masses P(X = 0) ... P(X = n), into an array of n + 1. */
void beta_binomial_masses(struct beta beta, int64_t n, double *mass);

/* The masses 0 to `most`, the last of `most` or more, in as many steps, however large n is. */
void beta_binomial_masses_to(struct beta beta, int64_t n, int64_t most, double *mass);

/* The masses of the sum of two independent numbers: `sum` has nx + ny + 1 places and is none of the others. */
void masses_add(const double *x, int64_t nx, const double *y, int64_t ny, double *sum);

/*
 * Adds an independent number to a sum, of which only that it is `most` or more matters: its masses are 0 to `most`, and the last
 * is of all from there on, 1 at the most.
 */
void masses_gather(double *sum, int64_t most, const double *mass, int64_t n);

/* Sums of the same numbers of which it matters that they are at[i] or more, none of them above `most`: end[i] is the mass of that. */
struct mass_ends {
	int64_t *at;
	double *end;
	size_t n;
};

/* The same, with the ends; an end comes out as masses_gather() of a sum up to it would have its last mass. */
void masses_gather_ends(double *sum, int64_t most, const struct mass_ends *ends, const double *mass, int64_t n);

/* A number that comes with that chance, and else none. */
void masses_thin(double *mass, int64_t n, double chance);

/* The least k with P(X <= k) >= p, and P(X >= k), of masses 0 to n. */
int64_t masses_quantile(const double *mass, int64_t n, double p);
double masses_at_least(const double *mass, int64_t n, int64_t k);

#endif
