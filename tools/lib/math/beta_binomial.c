#include "math/beta_binomial.h"

#include <float.h>
#include <math.h>
#include <stdlib.h>

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

/* The mass of j of two numbers whose masses outside their spans are nothing. */
static double mass_of_sum(const double *x, struct span of_x, const double *y, struct span of_y, int64_t j)
{
	int64_t low = j - of_x.high > of_y.low ? j - of_x.high : of_y.low, high = j - of_x.low < of_y.high ? j - of_x.low : of_y.high;
	double at = 0;

	for (int64_t k = low; k <= high; k++)
		at += x[j - k] * y[k];
	return at;
}

/* The chance of `most` or more may be far below 1e-20, and is right even then. */
void masses_gather(double *sum, int64_t most, const double *mass, int64_t n)
{
	struct span of_sum = span_of(sum, most, DBL_MIN), of_mass = span_of(mass, n < most ? n : most, DBL_MIN);
	double *upper = mem_array((size_t)most + 1, sizeof *upper); /* upper[k]: of k and more */
	double above = 0;

	for (int64_t k = n; k > most; k--)
		above += mass[k];
	for (int64_t k = most; k >= 0; k--)
		upper[k] = above += k <= n ? mass[k] : 0;
	sum[most] = mass_of_sum(sum, of_sum, upper, (struct span){ 0, most }, most);
	for (int64_t j = most - 1; j >= 0; j--)
		sum[j] = mass_of_sum(sum, of_sum, mass, of_mass, j);
	free(upper);
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
