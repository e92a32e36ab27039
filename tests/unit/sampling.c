/*
 * sampling.h against published figures. Sources: NIST/SEMATECH e-Handbook of Statistical Methods
 * (sections named); exact factors recomputed in R and a second tool, as in tests/outside/data.
 */
#include <math.h>

#include "math/sampling.h"
#include "check.h"

static void shares(void)
{
	struct sampling_interval i = sampling_share(3, 50, 0.95);

	CHECK_NEAR(i.low, 0.012548588, 5e-10);
	CHECK_NEAR(i.high, 0.165481947, 5e-10);
	i = sampling_share(4, 20, 0.90); /* 7.2.4.1, whose second figure is printed 0.401029 */
	CHECK_NEAR(i.low, 0.071354, 5e-7);
	CHECK_NEAR(i.high, 0.401028117332, 1e-11);
	i = sampling_share(0, 4, 0.90);
	CHECK(i.low == 0);
	CHECK_NEAR(i.high, 0.527129, 1e-6);
	i = sampling_share(4, 4, 0.90);
	CHECK(i.high == 1);
	CHECK_NEAR((double)sampling_bad_most(0, 4, 3500, 0.95) / 3500, 0.5269, 1e-4);
	CHECK(isnan(sampling_share(0, 0, 0.95).low));
	CHECK(isnan(sampling_share(1, DIST_PIECES_MOST + 1, 0.95).low));
	CHECK_INT(sampling_bad_most(0, 4, DIST_PIECES_MOST + 1, 0.95), -1);
}

static void free_of_distribution(void)
{
	static const int64_t SAMPLE[] = { 29, 46, 61, 76, 89, 103 };

	CHECK_INT(sampling_free_one(0.90, 0.95), 29);
	CHECK_INT(sampling_free_two(0.90, 0.95), 46);
	CHECK_INT(sampling_free_one(0.95, 0.95), 59);
	CHECK_INT(sampling_free_two(0.95, 0.95), 93);
	CHECK_INT(sampling_free_one(0.99, 0.95), 299);
	CHECK_INT(sampling_free_two(0.99, 0.95), 473);
	CHECK_NEAR(sampling_free_sure(4, 0.90), 0.0523, 5e-7);
	for (int64_t bad = 0; bad < 6; bad++)
		CHECK_INT(sampling_pieces(0.90, 0.95, bad), SAMPLE[bad]);
	/* 1 of 3 at most has the probability 1/2 exactly */
	CHECK_INT(sampling_pieces(0.5, 0.5, 1), 3);
	/* phyper in R 4.2: 4 of 34 would be too many bad */
	CHECK_INT(sampling_pieces_of(34, 0.90, 0.95, 0), 18);
	CHECK_INT(sampling_pieces_of(34, 0.90, 0.95, 3), 34);
	CHECK_INT(sampling_pieces_of(34, 0.90, 0.95, 4), -1);
	CHECK_INT(sampling_pieces_of(DIST_PIECES_MOST, 0.90, 0.95, 0), 29);
}

int main(void)
{
	shares();
	free_of_distribution();
	return check_end();
}
