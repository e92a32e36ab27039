/*
 * tolerance.h against published figures. Sources: NIST/SEMATECH e-Handbook of Statistical Methods
 * (sections named); exact factors recomputed in R and a second tool, as in tests/outside/data.
 */
#include <math.h>

#include "math/distributions.h"
#include "math/tolerance.h"
#include "check.h"

static const double K2_90_95[][2] = { { 4, 5.368071 }, { 6, 3.732570 }, { 8, 3.156033 }, { 10, 2.856311 }, { 12, 2.670285 },
	{ 20, 2.318791 }, { 30, 2.145111 }, { 50, 1.999000 } };

static void tolerance(void)
{
	CHECK_NEAR(tolerance_one(43, 0.90, 0.99), 1.873953606, 1e-8); /* 7.2.6.3 prints 1.8740 */
	CHECK_NEAR(tolerance_one(6, 0.90, 0.99), 4.411080572, 1e-8);  /* 7.2.6.3 prints 4.4111 */
	CHECK_NEAR(tolerance_one(4, 0.90, 0.95), 4.161933, 5e-7);
	CHECK_NEAR(tolerance_two(43, 0.90, 0.99), 2.222825172, 1e-7);
	for (unsigned i = 0; i < sizeof K2_90_95 / sizeof *K2_90_95; i++)
		CHECK_NEAR(tolerance_two(K2_90_95[i][0], 0.90, 0.95), K2_90_95[i][1], 6e-7);
	CHECK_NEAR(tolerance_mean(4, 0.95), 1.591223, 5e-7);
	CHECK_NEAR(tolerance_cover(10, 2.856311, 2.856311, 0.95), 0.90, 1e-5);
	CHECK_NEAR(tolerance_cover(4, 4.161933, INFINITY, 0.95), 0.90, 1e-5);
	CHECK_NEAR(tolerance_two(INFINITY, 0.90, 0.95), dist_normal_q(0.95), 0);
	CHECK_NEAR(tolerance_pooled(4, 3, 0.90, 0.95), tolerance_two(4, 0.90, 0.95), 0);
	CHECK(tolerance_pooled(4, 30, 0.90, 0.95) < tolerance_two(4, 0.90, 0.95));
	/* noncentral t by its normal limit (e-Handbook 7.2.6.3), which is good to some 1/n here */
	CHECK_NEAR(tolerance_one(100000, 0.90, 0.95), 1.288588, 5e-6);
	CHECK_NEAR(tolerance_one(DIST_PIECES_MOST, 0.90, 0.95), 1.283773, 1e-6);
	CHECK_NEAR(tolerance_one(1002, 0.90, 0.95), tolerance_one(1000, 0.90, 0.95), 1e-4);
	CHECK(tolerance_one(1002, 0.90, 0.95) < tolerance_one(1000, 0.90, 0.95));
	CHECK_NEAR(tolerance_two(DIST_PIECES_MOST, 0.90, 0.95), 1.646770, 1e-5);
	CHECK(isnan(tolerance_one(DIST_PIECES_MOST + 1, 0.90, 0.95)) && isnan(tolerance_two(DIST_PIECES_MOST + 1, 0.90, 0.95)));
	CHECK(tolerance_cover(4, -0.1, 3, 0.95) == 0 && tolerance_cover(1, 3, 3, 0.95) == 0);
	CHECK(isnan(tolerance_two(1, 0.9, 0.95)) && isnan(tolerance_one(4, 1, 0.95)));
	/* The number of pieces is that of the published factor; more than the normal quantile is never reached. */
	for (unsigned i = 0; i < sizeof K2_90_95 / sizeof *K2_90_95; i++) {
		CHECK(tolerance_pieces(0.90, 0.95, K2_90_95[i][1] + 1e-6) == (int64_t)K2_90_95[i][0]);
		CHECK(tolerance_pieces(0.90, 0.95, K2_90_95[i][1] - 1e-6) == (int64_t)K2_90_95[i][0] + 1);
	}
	CHECK(tolerance_pieces(0.90, 0.95, 1e6) == 2 && tolerance_pieces(0.90, 0.95, 1.64) == -1 && tolerance_pieces(1, 0.95, 5) == -1);
	CHECK(tolerance_pieces(0.90, 0.95, 1.646) == -1 && tolerance_pieces(0.90, 0.95, 1.647) > DIST_PIECES_MOST / 2);
}

int main(void)
{
	tolerance();
	return check_end();
}
