#include "math/rank_sum.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "math/distributions.h"

/* Up to so many steps the exact chance is reckoned. */
static const double EXACT_STEPS = 2e7;

enum { DIGITS = 8, DIGIT_VALUES = 256 };

/* A number as bits that are in its order: of negative ones all are turned round, of others the sign. */
static uint64_t bits_of(double value)
{
	uint64_t bits;

	value += 0.0; /* -0 is 0 */
	memcpy(&bits, &value, sizeof bits);
	return bits >> 63 ? ~bits : bits | (uint64_t)1 << 63;
}

static unsigned digit_of(double value, unsigned digit)
{
	return bits_of(value) >> (8 * digit) & 0xff;
}

/* Puts the values in the order of one digit; those alike in it stay in theirs. `from`: how many have each. */
static void sort_by(const struct rank_sum_value *value, size_t n, unsigned digit, size_t *from, struct rank_sum_value *to)
{
	size_t at = 0;

	for (size_t i = 0; i < DIGIT_VALUES; i++) {
		size_t here = from[i];

		from[i] = at;
		at += here;
	}
	for (size_t i = 0; i < n; i++)
		to[from[digit_of(value[i].value, digit)]++] = value[i];
}

/* Digit by digit from the last, but for those that all have alike: bats are many, and one figure of them after another is sorted. */
static void sort(struct rank_sum_value *value, size_t n)
{
	struct rank_sum_value *spare = mem_array(n, sizeof *spare), *in = value, *out = spare;
	size_t (*from)[DIGIT_VALUES] = mem_zeroed(DIGITS, sizeof *from);

	for (size_t i = 0; i < n; i++)
		for (unsigned digit = 0; digit < DIGITS; digit++)
			from[digit][digit_of(value[i].value, digit)]++;
	for (unsigned digit = 0; digit < DIGITS; digit++) {
		struct rank_sum_value *other = in;

		if (from[digit][digit_of(value[0].value, digit)] == n)
			continue;
		sort_by(in, n, digit, from[digit], out);
		in = out;
		out = other;
	}
	if (in != value)
		memcpy(value, in, n * sizeof *value);
	free(from);
	free(spare);
}

/* Twice the rank of each, which is whole also where equal values share it; returns the sum of t^3 - t over equal ones. */
static double rank(const struct rank_sum_value *value, size_t n, size_t *twice)
{
	double ties = 0;

	for (size_t i = 0, k; i < n; i = k) {
		double t;

		for (k = i; k < n && value[k].value <= value[i].value; k++)
			;
		for (size_t at = i; at < k; at++)
			twice[at] = i + 1 + k;
		t = (double)(k - i);
		ties += t * t * t - t;
	}
	return ties;
}

/*
 * The chance that m of the n ranks, drawn blindly, have a doubled sum of at most `low`, or at least `high`: chances[j][s]
 * of j drawn with the doubled sum s, one rank after another.
 */
static double exact_tail(const size_t *twice, size_t n, size_t m, size_t sum, bool low)
{
	size_t most = 0, wide;
	double *chance, tail = 0;

	for (size_t i = n - m; i < n; i++)
		most += twice[i];
	wide = most + 1;
	chance = mem_zeroed((m + 1) * wide, sizeof *chance);
	chance[0] = 1;
	for (size_t i = 0; i < n; i++)
		for (size_t j = m < i + 1 ? m : i + 1; j > 0; j--)
			for (size_t s = twice[i]; s < wide; s++)
				chance[j * wide + s] += chance[(j - 1) * wide + s - twice[i]];
	for (size_t s = low ? 0 : sum; s <= (low ? sum : most) && s < wide; s++)
		tail += chance[m * wide + s];
	free(chance);
	return tail / exp(lgamma((double)n + 1) - lgamma((double)m + 1) - lgamma((double)(n - m) + 1));
}

static double normal_p(double u, double m, double others, double ties)
{
	double n = m + others, sd = sqrt(m * others / 12 * (n + 1 - ties / (n * (n - 1)))), off = u - m * others / 2, z;

	if (!(sd > 0))
		return 1;
	z = (fabs(off) - (off == 0 ? 0 : 0.5)) / sd;
	return 2 * dist_normal_p(-z);
}

struct rank_sum rank_sum_of(struct rank_sum_value *value, size_t n)
{
	struct rank_sum r = { NAN, NAN, false };
	size_t *twice, m = 0, sum = 0;
	double ties, u;

	for (size_t i = 0; i < n; i++)
		m += value[i].in;
	if (m == 0 || m == n)
		return r;
	sort(value, n);
	twice = mem_array(n, sizeof *twice);
	ties = rank(value, n, twice);
	for (size_t i = 0; i < n; i++)
		sum += value[i].in ? twice[i] : 0;
	u = ((double)sum - (double)m * ((double)m + 1)) / 2;
	r.higher = u / ((double)m * (double)(n - m));
	r.exact = (double)n * (double)m * 2 * (double)m * (double)n < EXACT_STEPS && n < 1000;
	if (r.exact) {
		double low = exact_tail(twice, n, m, sum, true), high = exact_tail(twice, n, m, sum, false);

		r.p = 2 * (low < high ? low : high);
	} else
		r.p = normal_p(u, (double)m, (double)(n - m), ties);
	r.p = r.p > 1 ? 1 : r.p;
	free(twice);
	return r;
}
