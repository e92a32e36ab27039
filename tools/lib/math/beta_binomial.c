#include "math/beta_binomial.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

/* What rounding may take away from a sum of masses. */
static const double ROUNDING = 1e-12;

/* A mass below this changes no sum of a million of them by as much as rounding does. */
static const double NOTHING = 1e-20;

static const double WIDEST = 0.01;

struct beta beta_of(double mean, double sd)
{
	double sum;

	if (!(mean > 0))
		return (struct beta){ 0, 1 };
	if (!(mean < 1))
		return (struct beta){ 1, 0 };
	sum = mean * (1 - mean) / (sd * sd) - 1;
	sum = sum > WIDEST ? sum : WIDEST;
	return (struct beta){ mean * sum, (1 - mean) * sum };
}

static double mean_of(struct beta b)
{
	return b.a / (b.a + b.b);
}

static double square_of(struct beta b)
{
	return mean_of(b) * (b.a + 1) / (b.a + b.b + 1);
}

struct beta beta_product(struct beta x, struct beta y)
{
	double mean, square;

	if (!(x.a > 0) || !(y.a > 0))
		return (struct beta){ 0, 1 };
	if (!(x.b > 0))
		return y;
	if (!(y.b > 0))
		return x;
	mean = mean_of(x) * mean_of(y);
	square = square_of(x) * square_of(y);
	return beta_of(mean, sqrt(fmax(square - mean * mean, 0)));
}

/* The logarithm of P(X = 0): the product of (b + i) / (a + b + i). */
static double log_none(struct beta beta, int64_t n)
{
	double sum = 0;

	for (int64_t i = 0; i < n; i++)
		sum += log1p(-beta.a / (beta.a + beta.b + (double)i));
	return sum;
}

void beta_binomial_masses(struct beta beta, int64_t n, double *mass)
{
	double at;

	for (int64_t k = 0; k <= n; k++)
		mass[k] = 0;
	if (!(beta.a > 0) || !(beta.b > 0)) {
		mass[beta.a > 0 ? n : 0] = 1;
		return;
	}
	at = log_none(beta, n);
	for (int64_t k = 0; k <= n; k++) {
		double rest = (double)(n - k);

		mass[k] = exp(at);
		if (k < n)
			at += log(rest / (double)(k + 1) * ((beta.a + (double)k) / (beta.b + rest - 1)));
	}
}

void beta_binomial_masses_to(struct beta beta, int64_t n, int64_t most, double *mass)
{
	double at, rest = 1;

	if (n <= most || !(beta.a > 0) || !(beta.b > 0)) {
		for (int64_t k = 0; k <= most; k++)
			mass[k] = 0;
		if (n <= most)
			beta_binomial_masses(beta, n, mass);
		else
			mass[beta.a > 0 ? most : 0] = 1;
		return;
	}
	at = lgamma(beta.b + (double)n) - lgamma(beta.b) + lgamma(beta.a + beta.b) - lgamma(beta.a + beta.b + (double)n);
	for (int64_t k = 0; k < most; k++) {
		double others = (double)(n - k);

		mass[k] = exp(at);
		rest -= mass[k];
		at += log(others / (double)(k + 1) * ((beta.a + (double)k) / (beta.b + others - 1)));
	}
	mass[most] = fmax(rest, 0);
}

/* The first and the last number that has a mass worth counting. */
struct span {
	int64_t low, high;
};

static struct span span_of(const double *mass, int64_t n, double nothing)
{
	struct span span = { 0, n };

	while (span.low < n && mass[span.low] < nothing)
		span.low++;
	while (span.high > span.low && mass[span.high] < nothing)
		span.high--;
	return span;
}

void masses_add(const double *x, int64_t nx, const double *y, int64_t ny, double *sum)
{
	struct span of_x = span_of(x, nx, NOTHING), of_y = span_of(y, ny, NOTHING);

	for (int64_t k = 0; k <= nx + ny; k++)
		sum[k] = 0;
	for (int64_t i = of_x.low; i <= of_x.high; i++)
		for (int64_t k = of_y.low; k <= of_y.high; k++)
			sum[i + k] += x[i] * y[k];
}

static int64_t least(int64_t a, int64_t b)
{
	return a < b ? a : b;
}

static int64_t greatest(int64_t a, int64_t b)
{
	return a > b ? a : b;
}

/* Two numbers whose masses outside their spans are nothing. */
struct two {
	const double *x, *y;
	struct span of_x, of_y;
};

/* The terms of the mass that both together are j, for numbers of y from `low` to `high`, added to `at`. */
static double add_terms(const struct two *t, int64_t j, int64_t low, int64_t high, double at)
{
	for (int64_t k = low; k <= high; k++)
		at += t->x[j - k] * t->y[k];
	return at;
}

static int64_t first_term(const struct two *t, int64_t j)
{
	return greatest(j - t->of_x.high, t->of_y.low);
}

static int64_t last_term(const struct two *t, int64_t j)
{
	return least(j - t->of_x.low, t->of_y.high);
}

/*
 * The masses of TILE sums from j on. Each has its terms in the order of add_terms(); side by side, and two in a vector, they do not wait for
 * each other.
 */
typedef double two_sums __attribute__((vector_size(2 * sizeof(double))));
enum { TILE = 8 };

static two_sums two_at(const double *x)
{
	two_sums two;

	memcpy(&two, x, sizeof two);
	return two;
}

static void add_to_tile(const struct two *t, int64_t j, int64_t low, int64_t high, double *sum)
{
	two_sums a = two_at(sum), b = two_at(sum + 2), c = two_at(sum + 4), d = two_at(sum + 6);

	for (int64_t k = low; k <= high; k++) {
		const two_sums y = { t->y[k], t->y[k] };
		const double *x = t->x + (j - k);

		a += two_at(x) * y;
		b += two_at(x + 2) * y;
		c += two_at(x + 4) * y;
		d += two_at(x + 6) * y;
	}
	memcpy(sum, &a, sizeof a);
	memcpy(sum + 2, &b, sizeof b);
	memcpy(sum + 4, &c, sizeof c);
	memcpy(sum + 6, &d, sizeof d);
}

static void tile_of_sums(const struct two *t, int64_t j, double *sum)
{
	int64_t low = first_term(t, j + TILE - 1), high = last_term(t, j);

	for (int i = 0; i < TILE; i++)
		sum[i] = add_terms(t, j + i, first_term(t, j + i), least(low - 1, last_term(t, j + i)), 0);
	add_to_tile(t, j, low, high, sum);
	for (int i = 0; i < TILE; i++)
		sum[i] = add_terms(t, j + i, greatest(greatest(low, high + 1), first_term(t, j + i)), last_term(t, j + i), sum[i]);
}

/* From the greatest on, for a sum takes the place of an x that those below it do not use. */
static void masses_of_sums(const struct two *t, int64_t n, double *sum)
{
	int64_t j = n;

	for (; j >= TILE; j -= TILE) {
		double tile[TILE];

		tile_of_sums(t, j - TILE, tile);
		memcpy(sum + j - TILE, tile, sizeof tile);
	}
	for (j--; j >= 0; j--)
		sum[j] = add_terms(t, j, first_term(t, j), last_term(t, j), 0);
}

/* The mass of `most` and more; it may be far below 1e-20, and is right even then, and is no more than 1. Beyond n there is nothing. */
static double mass_of_end(const struct two *t, int64_t most, int64_t n)
{
	int64_t last = least(n, most);
	double *upper = mem_array((size_t)last + 1, sizeof *upper), above = 0; /* upper[k]: of k and more */
	struct two ends = { t->x, upper, t->of_x, { 0, last } };

	for (int64_t k = n; k > most; k--)
		above += t->y[k];
	for (int64_t k = last; k >= 0; k--)
		upper[k] = above += t->y[k];
	above = add_terms(&ends, most, first_term(&ends, most), last_term(&ends, most), 0);
	free(upper);
	return fmin(above, 1);
}

/* The last number that has any mass. */
static int64_t last_of(const double *mass, int64_t n)
{
	while (n && !(mass[n] > 0))
		n--;
	return n;
}

void masses_gather(double *sum, int64_t most, const double *mass, int64_t n)
{
	struct two two = { sum, mass, span_of(sum, most, DBL_MIN), span_of(mass, least(n, most), DBL_MIN) };

	sum[most] = mass_of_end(&two, most, last_of(mass, n));
	masses_of_sums(&two, most, sum);
}

void masses_gather_ends(double *sum, int64_t most, const struct mass_ends *ends, const double *mass, int64_t n)
{
	int64_t last = last_of(mass, n);

	for (size_t i = 0; i < ends->n; i++) {
		int64_t at = ends->at[i];
		double own = sum[at];

		sum[at] = ends->end[i];
		ends->end[i] = mass_of_end(&(struct two){ sum, mass, span_of(sum, at, DBL_MIN), { 0, 0 } }, at, last);
		sum[at] = own;
	}
	masses_gather(sum, most, mass, n);
}

void masses_thin(double *mass, int64_t n, double chance)
{
	for (int64_t k = 0; k <= n; k++)
		mass[k] *= chance;
	mass[0] += 1 - chance;
}

int64_t masses_quantile(const double *mass, int64_t n, double p)
{
	double sum = 0;

	for (int64_t k = 0; k < n; k++) {
		sum += mass[k];
		if (sum >= p - ROUNDING)
			return k;
	}
	return n;
}

double masses_at_least(const double *mass, int64_t n, int64_t k)
{
	double sum = 0;

	for (int64_t i = n; i >= (k > 0 ? k : 0); i--)
		sum += mass[i];
	return k <= 0 ? 1 : fmin(sum, 1);
}
