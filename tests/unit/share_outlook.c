/*
 * What to expect of a period by those before it: an even distribution and the correlation by hand, and that ranges of
 * simulated works hold what they say.
 */
#include <math.h>

#include "math/share_outlook.h"
#include "check.h"

/* With a = b = 1 every count is as likely. */
static void check_uniform(void)
{
	const struct share_outlook o = { 0.5, 0, { 1, 1 } };
	int64_t low, high;

	CHECK(share_outlook_range(&o, 38, 0.9, &low, &high));
	CHECK_INT(low, 1);
	CHECK_INT(high, 37);
	CHECK_NEAR(share_outlook_tail(&o, 0, 39), 0.05, 1e-12);
	CHECK_NEAR(share_outlook_tail(&o, 39, 39), 0.05, 1e-12);
	CHECK_NEAR(share_outlook_tail(&o, 19, 39), 1, 1e-12);
	CHECK(isnan(share_outlook_tail(&o, 0, -1)));
	CHECK(!share_outlook_range(&o, 38, 1, &low, &high));
}

/* Six periods of 10: 0, 0, 0, 2, 2, 2, so p is 0.1, the sum of (k - n p)^2 is 6, and 6 * 6/5 / 0.09 = 80 = 60 + 540 r. */
static void check_correlation(void)
{
	static const struct share_period before[] = { { 0, 10 }, { 2, 10 }, { 0, 10 }, { 2, 10 }, { 0, 10 }, { 2, 10 } };
	static const struct share_period alike[] = { { 1, 10 }, { 1, 10 }, { 1, 10 }, { 1, 10 }, { 1, 10 } };
	struct share_outlook o = share_outlook_of(before, 6);

	CHECK_NEAR(o.share, 0.1, 1e-15);
	CHECK_NEAR(o.correlation, 20.0 / 540, 1e-12);
	CHECK_NEAR(share_outlook_of(alike, 5).correlation, 0, 0);
	CHECK_NEAR(share_outlook_of(before, 4).correlation, 0, 0); /* too few periods */
	/* without correlation the mean is that of Jeffreys' posterior, and so is the distribution: 5.5 and 45.5 */
	CHECK_NEAR(share_outlook_of(alike, 5).is.a, 5.5, 1e-9);
	CHECK_NEAR(share_outlook_of(alike, 5).is.b, 45.5, 1e-9);
	CHECK(isnan(share_outlook_of(NULL, 0).share));
}

static uint64_t seed = 5;

static double uniform(void)
{
	seed = seed * 6364136223846793005u + 1442695040888963407u;
	return ((double)(seed >> 33) + 0.5) / 2147483648.0;
}

static int64_t draw(int64_t n, double share)
{
	int64_t k = 0;

	for (int64_t i = 0; i < n; i++)
		k += uniform() < share;
	return k;
}

/* Twelve periods and one: the shares differ evenly by so much of their mean. How often the range holds the last. */
static double held(double share, double differ, int64_t n)
{
	enum { ROUNDS = 400, PERIODS = 12 };
	int good = 0;

	for (int r = 0; r < ROUNDS; r++) {
		struct share_period before[PERIODS + 1];
		struct share_outlook o;
		int64_t low = 0, high = 0;

		for (int i = 0; i <= PERIODS; i++) {
			before[i].n = n / 2 + (int64_t)((double)n * uniform());
			before[i].k = draw(before[i].n, share * (1 + differ * (2 * uniform() - 1)));
		}
		o = share_outlook_of(before, PERIODS);
		CHECK(share_outlook_range(&o, before[PERIODS].n, 0.95, &low, &high));
		good += before[PERIODS].k >= low && before[PERIODS].k <= high;
	}
	return (double)good / ROUNDS;
}

static void check_coverage(void)
{
	static const double DIFFER[] = { 0, 0.5, 0.9 };

	for (int i = 0; i < 3; i++) {
		CHECK_CASE(i);
		CHECK(held(0.02, DIFFER[i], 800) > 0.92);
		CHECK(held(0.1, DIFFER[i], 200) > 0.92);
	}
}

int main(void)
{
	check_uniform();
	check_correlation();
	check_coverage();
	return check_end();
}
