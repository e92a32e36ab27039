#include "math/mix_shift.h"

#include <math.h>
#include <stdbool.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/dice.h"
#include "math/distributions.h"

static const double EXPECTED_LEAST = 5;

/* The sums of the two heaps. */
struct heaps {
	int64_t a, b;
};

static struct heaps sums_of(const struct mix_part *part, size_t k)
{
	struct heaps sum = { 0, 0 };

	for (size_t i = 0; i < k; i++) {
		sum.a += part[i].a;
		sum.b += part[i].b;
	}
	return sum;
}

/* ---- the statistic */

/*
 * The difference of two shares in standard errors. With designs of 1 it is Haberman's residual of a table of two rows, and the sum of
 * (1 - share) residual^2 over the grades is Pearson's chi-squared.
 */
static double residual_of(const struct mix_part *part, struct heaps n)
{
	double a = (double)n.a, b = (double)n.b, share = (double)(part->a + part->b) / (a + b);
	double error = sqrt(share * (1 - share) * (part->design_a / a + part->design_b / b));

	return error > 0 ? ((double)part->a / a - (double)part->b / b) / error : NAN;
}

static double take_residuals(struct mix_part *part, size_t k, struct heaps n)
{
	double chi2 = 0;

	for (size_t i = 0; i < k; i++) {
		double share = (double)(part[i].a + part[i].b) / (double)(n.a + n.b);

		part[i].residual = residual_of(&part[i], n);
		if (share > 0 && share < 1)
			chi2 += (1 - share) * part[i].residual * part[i].residual;
	}
	return chi2;
}

static bool is_small(const struct mix_part *part, size_t k, struct heaps n)
{
	double least = (double)(n.a < n.b ? n.a : n.b);

	for (size_t i = 0; i < k; i++)
		if (part[i].a + part[i].b && (double)(part[i].a + part[i].b) * least / (double)(n.a + n.b) < EXPECTED_LEAST)
			return true;
	return false;
}

/* ---- random tables with the same sums */

/* Logarithms of the factorials of 0 to n; the caller frees them. */
static double *log_factorials(int64_t n)
{
	double *log_of = mem_array((size_t)n + 1, sizeof *log_of);

	log_of[0] = 0;
	for (int64_t i = 1; i <= n; i++)
		log_of[i] = log_of[i - 1] + log((double)i);
	return log_of;
}

/* Of `drawn` pieces out of `all`, how many are among the `some`: the hypergeometric chance of x. */
struct draw {
	int64_t some, all, drawn;
};

static double log_ways(const double *log_of, int64_t n, int64_t k)
{
	return log_of[n] - log_of[k] - log_of[n - k];
}

static double chance_of(const double *log_of, struct draw d, int64_t x)
{
	return exp(log_ways(log_of, d.some, x) + log_ways(log_of, d.all - d.some, d.drawn - x) - log_ways(log_of, d.all, d.drawn));
}

/* How much likelier x + 1 is than x. */
static double step_up(struct draw d, int64_t x)
{
	return (double)(d.some - x) * (double)(d.drawn - x) / ((double)(x + 1) * (double)(d.all - d.some - d.drawn + x + 1));
}

/* Draws a count by inversion, from the likeliest one outwards on both sides. */
static int64_t draw_count(const double *log_of, struct draw d, struct dice *dice)
{
	int64_t low = d.drawn - (d.all - d.some) > 0 ? d.drawn - (d.all - d.some) : 0, high = d.some < d.drawn ? d.some : d.drawn;
	int64_t mode = (int64_t)((double)(d.drawn + 1) * (double)(d.some + 1) / (double)(d.all + 2)), down, up;
	double left = dice_share(dice), at_down, at_up;

	mode = mode < low ? low : mode > high ? high : mode;
	down = up = mode;
	at_down = at_up = chance_of(log_of, d, mode);
	left -= at_down;
	while (left > 0 && (down > low || up < high)) {
		if (down > low) {
			at_down /= step_up(d, --down);
			left -= at_down;
			if (left <= 0)
				return down;
		}
		if (up < high) {
			at_up *= step_up(d, up++);
			left -= at_up;
			if (left <= 0)
				return up;
		}
	}
	return mode;
}

/* Pearson's chi-squared of a random table. */
static double random_chi2(const double *log_of, const struct mix_part *part, size_t k, struct heaps n, struct dice *dice)
{
	int64_t all = n.a + n.b, drawn = n.a;
	double chi2 = 0;

	for (size_t i = 0; i < k; i++) {
		int64_t some = part[i].a + part[i].b;
		int64_t x = draw_count(log_of, (struct draw){ some, all, drawn }, dice);
		double expected = (double)some * (double)n.a / (double)(n.a + n.b), off = (double)x - expected;

		if (some)
			chi2 += off * off / expected + off * off / ((double)some - expected);
		all -= some;
		drawn -= x;
	}
	return chi2;
}

static double simulated_p(const struct mix_part *part, size_t k, struct heaps n, double chi2)
{
	static const double NEARLY = 1 - 1e-9; /* equal tables come to the same but for rounding */
	struct dice dice = { .state = 20260101 };
	double *log_of = log_factorials(n.a + n.b);
	int reached = 0;

	for (int i = 0; i < MIX_SHIFT_TRIALS; i++)
		reached += random_chi2(log_of, part, k, n, &dice) >= NEARLY * chi2;
	free(log_of);
	return (double)(1 + reached) / (double)(1 + MIX_SHIFT_TRIALS);
}

/* ---- the answer */

static double degrees(const struct mix_part *part, size_t k)
{
	double df = -1;

	for (size_t i = 0; i < k; i++)
		df += part[i].a + part[i].b > 0;
	return df;
}

struct mix_shift mix_shift_of(struct mix_part *part, size_t k, double df_lots)
{
	struct heaps n = sums_of(part, k);
	struct mix_shift s = { NAN, degrees(part, k), NAN, MIX_BY_CHI2 };

	for (size_t i = 0; i < k; i++)
		part[i].residual = NAN;
	if (n.a <= 0 || n.b <= 0 || s.df < 1)
		return s;
	s.chi2 = take_residuals(part, k, n);
	if (df_lots > 0) {
		s.method = MIX_BY_F;
		s.p = dist_f_upper_p(s.chi2 / s.df, s.df, df_lots);
	} else if (is_small(part, k, n) && n.a + n.b <= DIST_PIECES_MOST) {
		s.method = MIX_BY_TRIALS;
		s.p = simulated_p(part, k, n, s.chi2);
	} else
		s.p = dist_chi2_upper_p(s.chi2, s.df);
	return s;
}

double mix_shift_point(size_t k, double df_lots)
{
	double p = 1 - 0.025 / (double)k;

	return df_lots > 0 ? dist_t_q(p, df_lots) : dist_normal_q(p);
}
