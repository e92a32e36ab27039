/* Shares of two heaps: odd heaps, designs, and the choice of the method; R and published examples are in tests/outside/grade_shift.c. */
#include "math/mix_shift.h"

#include <math.h>

#include "math/distributions.h"
#include "check.h"

/* An empty heap, one grade only, and a grade that nobody has. */
static void odd_heaps(void)
{
	struct mix_part empty[] = { { 0, 3, 1, 1, 0 }, { 0, 4, 1, 1, 0 } }, one[] = { { 3, 4, 1, 1, 0 }, { 0, 0, 1, 1, 0 } };
	struct mix_part some[] = { { 30, 40, 1, 1, 0 }, { 0, 0, 1, 1, 0 }, { 30, 20, 1, 1, 0 } };
	struct mix_shift s = mix_shift_of(empty, 2, 0);

	CHECK(isnan(s.p) && isnan(s.chi2) && isnan(empty[0].residual));
	s = mix_shift_of(one, 2, 0);
	CHECK(isnan(s.p) && s.df == 0 && isnan(one[0].residual));
	s = mix_shift_of(some, 3, 0);
	CHECK(s.df == 1 && s.method == MIX_BY_CHI2 && isnan(some[1].residual));
	CHECK_NEAR(some[0].residual, -some[2].residual, 1e-12);
	CHECK_NEAR(s.chi2, some[0].residual * some[0].residual, 1e-12);
	CHECK_NEAR(s.chi2, 120 * (30.0 * 20 - 40 * 30) * (30.0 * 20 - 40 * 30) / (60.0 * 60 * 70 * 50), 1e-12); /* the usual short form */
}

/* Counts that are worth a quarter come to a quarter of chi-squared, and F is used. */
static void designs(void)
{
	struct mix_part plain[] = { { 60, 40, 1, 1, 0 }, { 40, 60, 1, 1, 0 } }, alike[] = { { 60, 40, 4, 4, 0 }, { 40, 60, 4, 4, 0 } };
	struct mix_shift a = mix_shift_of(plain, 2, 0), b = mix_shift_of(alike, 2, 6);

	CHECK(b.method == MIX_BY_F);
	CHECK_NEAR(b.chi2, a.chi2 / 4, 1e-12);
	CHECK_NEAR(b.p, dist_f_upper_p(a.chi2 / 4, 1, 6), 1e-12);
	CHECK_NEAR(mix_shift_point(1, 0), 1.959963984540054, 1e-12);
	CHECK_NEAR(mix_shift_point(5, 6), dist_t_q(0.995, 6), 1e-12);
}

/* Heaps as far apart as can be, and heaps that are the same. */
static void trials(void)
{
	struct mix_part apart[] = { { 9, 0, 1, 1, 0 }, { 0, 9, 1, 1, 0 } }, same[] = { { 2, 2, 1, 1, 0 }, { 3, 3, 1, 1, 0 } };
	struct mix_part wide[] = { { 1, 0, 1, 1, 0 }, { 400000, 599998, 1, 1, 0 } };
	struct mix_shift s = mix_shift_of(apart, 2, 0);

	CHECK(s.method == MIX_BY_TRIALS && s.p < 5.0 / MIX_SHIFT_TRIALS && s.p >= 1.0 / (1 + MIX_SHIFT_TRIALS));
	CHECK(mix_shift_of(same, 2, 0).p == 1);
	s = mix_shift_of(wide, 2, 0);   /* one piece of 10^6: the chance is that it falls to the first heap */
	CHECK_NEAR(s.p, 0.4, 0.02);
}

int main(void)
{
	odd_heaps();
	designs();
	trials();
	return check_end();
}
