#include <stdio.h>

#include "num.h"

static uint64_t splitmix64(uint64_t *x)
{
	uint64_t z = *x += UINT64_C(0x9e3779b97f4a7c15);

	z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
	return z ^ (z >> 31);
}

/* FNV-1a over the name, started from the seed. */
static uint64_t seed_of_all = SAMPLE_SEED;

void rng_seed(uint64_t seed)
{
	seed_of_all = seed;
}

struct rng rng_named(const char *name)
{
	uint64_t h = UINT64_C(0xcbf29ce484222325) ^ seed_of_all;
	struct rng r;

	for (; *name; name++)
		h = (h ^ (unsigned char)*name) * UINT64_C(0x100000001b3);
	for (int i = 0; i < 4; i++)
		r.s[i] = splitmix64(&h);
	return r;
}

static uint64_t rotate(uint64_t x, int k)
{
	return (x << k) | (x >> (64 - k));
}

static uint64_t rng_next(struct rng *r)
{
	uint64_t *s = r->s, out = rotate(s[1] * 5, 7) * 9, t = s[1] << 17;

	s[2] ^= s[0];
	s[3] ^= s[1];
	s[1] ^= s[2];
	s[0] ^= s[3];
	s[2] ^= t;
	s[3] = rotate(s[3], 45);
	return out;
}

double rng_unit(struct rng *r)
{
	return (double)(rng_next(r) >> 11) / 9007199254740992.0;
}

double rng_between(struct rng *r, double lo, double hi)
{
	return lo + (hi - lo) * rng_unit(r);
}

int rng_int(struct rng *r, int lo, int hi)
{
	return lo + (int)(rng_unit(r) * (double)(hi - lo + 1));
}

bool rng_chance(struct rng *r, double p)
{
	return rng_unit(r) < p;
}

double rng_normal(struct rng *r)
{
	double sum = -6.0;

	for (int i = 0; i < 12; i++)
		sum += rng_unit(r);
	return sum;
}

double rng_spread(struct rng *r, double sd)
{
	return num_exp(sd * rng_normal(r));
}

int rng_binomial(struct rng *r, int n, double p)
{
	int hits = 0;

	for (int i = 0; i < n; i++)
		hits += rng_chance(r, p);
	return hits;
}

int rng_which(struct rng *r, const double *weight, int n)
{
	double sum = 0, u;

	for (int i = 0; i < n; i++)
		sum += weight[i];
	u = rng_unit(r) * sum;
	for (int i = 0; i < n - 1; i++)
		if ((u -= weight[i]) < 0)
			return i;
	return n - 1;
}

/* x / 1024 by its series, then squared ten times. */
double num_exp(double x)
{
	double y = x / 1024.0, term = 1.0, sum = 1.0;

	for (int i = 1; i < 16; i++) {
		term = term * y / (double)i;
		sum += term;
	}
	for (int i = 0; i < 10; i++)
		sum *= sum;
	return sum;
}

long num_round(double x)
{
	long n = (long)(x + (x < 0 ? -0.5 : 0.5));

	return n;
}

char *num_text(char *out, double x, int places)
{
	static const long scale[] = { 1, 10, 100, 1000, 10000 };
	long n = num_round(x * (double)scale[places]), m = n < 0 ? -n : n;

	if (places == 0)
		snprintf(out, 24, "%ld", n);
	else
		snprintf(out, 24, "%s%ld.%0*ld", n < 0 ? "-" : "", m / scale[places], places,
			m % scale[places]);
	return out;
}

double num_emc_pct(double temp_c, double rh_pct)
{
	double t = temp_c, h = rh_pct / 100.0;
	double w = 349.0 + 1.29 * t + 0.0135 * t * t;
	double k = 0.805 + 0.000736 * t - 0.00000273 * t * t;
	double k1 = 6.27 - 0.00938 * t - 0.000303 * t * t;
	double k2 = 1.91 + 0.0407 * t - 0.000293 * t * t;
	double kh = k * h, a = k1 * kh, b = k1 * k2 * kh * kh;

	return 1800.0 / w * (kh / (1.0 - kh) + (a + 2.0 * b) / (1.0 + a + b));
}

static double vapour_hpa(double temp_c)
{
	return 6.112 * num_exp(17.62 * temp_c / (243.12 + temp_c));
}

double num_wetbulb_c(double temp_c, double rh_pct)
{
	double e = vapour_hpa(temp_c) * rh_pct / 100.0, lo = temp_c - 40.0, hi = temp_c;

	for (int i = 0; i < 40; i++) {
		double mid = (lo + hi) / 2.0;

		if (vapour_hpa(mid) - 0.000662 * 1013.25 * (temp_c - mid) < e)
			lo = mid;
		else
			hi = mid;
	}
	return (lo + hi) / 2.0;
}
