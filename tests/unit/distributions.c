/*
 * numerics.h against published figures. Sources: NIST/SEMATECH e-Handbook of Statistical Methods
 * (sections named); exact factors recomputed in R and a second tool, as in tests/outside/data.
 */
#include <math.h>

#include "math/distributions.h"
#include "check.h"

static const double K2_90_95[][2] = { { 4, 5.368071 }, { 6, 3.732570 }, { 8, 3.156033 }, { 10, 2.856311 }, { 12, 2.670285 },
	{ 20, 2.318791 }, { 30, 2.145111 }, { 50, 1.999000 } };

static void tolerance(void)
{
	CHECK_NEAR(num_tolerance_one(43, 0.90, 0.99), 1.873953606, 1e-8); /* 7.2.6.3 prints 1.8740 */
	CHECK_NEAR(num_tolerance_one(6, 0.90, 0.99), 4.411080572, 1e-8);  /* 7.2.6.3 prints 4.4111 */
	CHECK_NEAR(num_tolerance_one(4, 0.90, 0.95), 4.161933, 5e-7);
	CHECK_NEAR(num_tolerance_two(43, 0.90, 0.99), 2.222825172, 1e-7);
	for (unsigned i = 0; i < sizeof K2_90_95 / sizeof *K2_90_95; i++)
		CHECK_NEAR(num_tolerance_two(K2_90_95[i][0], 0.90, 0.95), K2_90_95[i][1], 6e-7);
	CHECK_NEAR(num_next_one(4, 0.95), 3.558083, 5e-7);
	CHECK_NEAR(num_mean_of(4, 0.95), 1.591223, 5e-7);
	CHECK_NEAR(num_cover_of(10, 2.856311, 2.856311, 0.95), 0.90, 1e-5);
	CHECK_NEAR(num_cover_of(4, 4.161933, INFINITY, 0.95), 0.90, 1e-5);
	CHECK_NEAR(num_tolerance_two(INFINITY, 0.90, 0.95), num_normal_q(0.95), 0);
	CHECK_NEAR(num_tolerance_pooled(4, 3, 0.90, 0.95), num_tolerance_two(4, 0.90, 0.95), 0);
	CHECK(num_tolerance_pooled(4, 30, 0.90, 0.95) < num_tolerance_two(4, 0.90, 0.95));
	/* noncentral t by its normal limit (e-Handbook 7.2.6.3), which is good to some 1/n here */
	CHECK_NEAR(num_tolerance_one(100000, 0.90, 0.95), 1.288588, 5e-6);
	CHECK_NEAR(num_tolerance_one(NUM_PIECES_MOST, 0.90, 0.95), 1.283773, 1e-6);
	CHECK_NEAR(num_tolerance_one(1002, 0.90, 0.95), num_tolerance_one(1000, 0.90, 0.95), 1e-4);
	CHECK(num_tolerance_one(1002, 0.90, 0.95) < num_tolerance_one(1000, 0.90, 0.95));
	CHECK_NEAR(num_tolerance_two(NUM_PIECES_MOST, 0.90, 0.95), 1.646770, 1e-5);
	CHECK(isnan(num_tolerance_one(NUM_PIECES_MOST + 1, 0.90, 0.95)) && isnan(num_tolerance_two(NUM_PIECES_MOST + 1, 0.90, 0.95)));
	CHECK(num_cover_of(4, -0.1, 3, 0.95) == 0 && num_cover_of(1, 3, 3, 0.95) == 0);
	CHECK(isnan(num_tolerance_two(1, 0.9, 0.95)) && isnan(num_tolerance_one(4, 1, 0.95)));
}

static void shares(void)
{
	struct num_interval i = num_share(3, 50, 0.95);

	CHECK_NEAR(i.low, 0.012548588, 5e-10);
	CHECK_NEAR(i.high, 0.165481947, 5e-10);
	i = num_share(4, 20, 0.90); /* 7.2.4.1, whose second figure is printed 0.401029 */
	CHECK_NEAR(i.low, 0.071354, 5e-7);
	CHECK_NEAR(i.high, 0.401028117332, 1e-11);
	i = num_share(0, 4, 0.90);
	CHECK(i.low == 0);
	CHECK_NEAR(i.high, 0.527129, 1e-6);
	i = num_share(4, 4, 0.90);
	CHECK(i.high == 1);
	CHECK_NEAR((double)num_bad_most(0, 4, 3500, 0.95) / 3500, 0.5269, 1e-4);
	CHECK_NEAR(num_hypergeometric_p(3, 35, 3500, 200), 0.863522841698, 1e-11);
	CHECK(isnan(num_share(0, 0, 0.95).low));
	CHECK(isnan(num_share(1, NUM_PIECES_MOST + 1, 0.95).low) && isnan(num_binomial_p(1, 0.5, NUM_PIECES_MOST + 1)));
	CHECK_INT(num_bad_most(0, 4, NUM_PIECES_MOST + 1, 0.95), -1);
	/* qbeta in R 4.2; the library's own search fails here */
	CHECK_NEAR(num_beta_q(0.01, 5000, 40), 0.98887305617901289, 1e-12);
	CHECK_NEAR(num_beta_q(0.3, 5000, 0.5), 0.9998925809816932, 1e-12);
}

static void free_of_distribution(void)
{
	static const int64_t SAMPLE[] = { 29, 46, 61, 76, 89, 103 };

	CHECK_INT(num_free_one(0.90, 0.95), 29);
	CHECK_INT(num_free_two(0.90, 0.95), 46);
	CHECK_INT(num_free_one(0.95, 0.95), 59);
	CHECK_INT(num_free_two(0.95, 0.95), 93);
	CHECK_INT(num_free_one(0.99, 0.95), 299);
	CHECK_INT(num_free_two(0.99, 0.95), 473);
	CHECK_NEAR(num_free_sure(4, 0.90), 0.0523, 5e-7);
	for (int64_t bad = 0; bad < 6; bad++)
		CHECK_INT(num_sample(0.90, 0.95, bad), SAMPLE[bad]);
	/* 1 of 3 at most has the probability 1/2 exactly */
	CHECK_INT(num_sample(0.5, 0.5, 1), 3);
	/* phyper in R 4.2: 4 of 34 would be too many bad */
	CHECK_INT(num_sample_of(34, 0.90, 0.95, 0), 18);
	CHECK_INT(num_sample_of(34, 0.90, 0.95, 3), 34);
	CHECK_INT(num_sample_of(34, 0.90, 0.95, 4), -1);
	CHECK_INT(num_sample_of(NUM_PIECES_MOST, 0.90, 0.95, 0), 29);
	CHECK_INT(num_free_order(28, 0.90, 0.95), 0);
	CHECK_INT(num_free_order(29, 0.90, 0.95), 1);
	CHECK_INT(num_free_order(46, 0.90, 0.95), 2);
}

static void charts(void)
{
	/* e-Handbook 6.3.2.2 and 6.3.2.4 */
	static const double X[] = { 49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1 };
	double mean;
	struct num_interval i = num_individuals(X, 10, &mean);

	CHECK_NEAR(mean, 50.81, 1e-12);
	CHECK_NEAR(i.low, 45.8159, 5e-5);
	CHECK_NEAR(i.high, 55.8041, 5e-5);
	i = num_ewma(50, 2.0539, 0.3, 3);
	CHECK_NEAR(i.low, 47.4115, 1e-4); /* printed cut off, not rounded */
	CHECK_NEAR(i.high, 52.5884, 1e-4);
}

int main(void)
{
	tolerance();
	shares();
	free_of_distribution();
	charts();
	return check_end();
}
