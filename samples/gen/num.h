/*
 * num.h - chance and the few formulas that the sample works needs.
 *
 * Everything here comes out the same on every machine: only + - * / and comparisons of
 * doubles (the build forbids fused multiply-add), no function of the maths library, and
 * what is printed has been rounded to an integer first.
 *
 * Chance is drawn from named streams, so that one part of the story can be changed without
 * shaking the others. A stream is the xoshiro256** generator of Blackman and Vigna (2018)
 * filled by their splitmix64; both are written here from the published description.
 */
#ifndef SAMPLE_NUM_H
#define SAMPLE_NUM_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* The seed of all samples. Another seed is another works, with the same true figures. */
#define SAMPLE_SEED UINT64_C(20260101)

/* Before any stream is named; without it the seed is SAMPLE_SEED. */
void rng_seed(uint64_t seed);

struct rng {
	uint64_t s[4];
};

struct rng rng_named(const char *name);

double rng_unit(struct rng *r);               /* 0 <= u < 1 */
double rng_between(struct rng *r, double lo, double hi);
int rng_int(struct rng *r, int lo, int hi);   /* lo..hi, both possible */
bool rng_chance(struct rng *r, double p);

/* Mean 0, sd 1: twelve units added up, less six. Never beyond 6 either way. */
double rng_normal(struct rng *r);

/* exp(sd * normal): median 1. */
double rng_spread(struct rng *r, double sd);

/* How many of `n` pieces a chance of `p` each befalls. */
int rng_binomial(struct rng *r, int n, double p);

/* Which of `n` weights (their sum need not be 1). */
int rng_which(struct rng *r, const double *weight, int n);

double num_exp(double x);

/* x rounded to the nearest integer, halves up. */
long num_round(double x);

/* x to `places` decimals (0..4) as text in `out`, which holds 24 bytes. Returns out. */
char *num_text(char *out, double x, int places);

/*
 * Equilibrium moisture content in per cent at temp_c and rh_pct: Hailwood and Horrobin with
 * the coefficients of the Wood Handbook, FPL-GTR-282 (2021), eq. 4-5.
 */
double num_emc_pct(double temp_c, double rh_pct);

/* The wet bulb of an aspirated psychrometer: e = es(tw) - 0.000662 P (t - tw), Magnus, 1013.25 hPa. */
double num_wetbulb_c(double temp_c, double rh_pct);

#endif
