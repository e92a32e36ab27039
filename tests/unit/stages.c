/*
 * The shares of wy-yield: what stages_yield() says of counts, worked out by hand, and that the product
 * of a closed lot's yields is as sure as the one share that it is: with Greenwood's variance the
 * number of cases comes to those that came in, whatever was lost where. (That identity for data
 * without censoring is textbook: Kaplan and Meier 1958 reduces to the binomial. From memory.)
 */
#include "math/stats.h"
#include "stock/stages.h"
#include "check.h"
#include "thrown.h"

enum { START = STAGE_START, IN = STAGE_IN, FOUND = STAGE_FOUND, CROSSED = STAGE_CROSSED, BACK = STAGE_BACK, OUT = STAGE_OUT,
	CULLED = STAGE_CULLED, STILL = STAGE_STILL, WAITED = STAGE_WAITED };

static void check_yields(void)
{
	static const struct {
		int64_t n[STAGE_COUNTS];
		int64_t entered;
		bool known;
		double p, cases;
	} CASES[] = {
		/* over: all that came went on or was lost */
		{ { [IN] = 40, [OUT] = 38, [CULLED] = 2 }, 40, true, 0.95, 40 },
		{ { [IN] = 40, [OUT] = 38, [CULLED] = 2, [WAITED] = 2 }, 40, true, 0.95, 40 },
		{ { [IN] = 16, [CULLED] = 16 }, 16, true, 0, 16 },
		{ { [IN] = 3, [CULLED] = 3, [WAITED] = 3 }, 3, true, 0, 3 },
		{ { [IN] = 30, [FOUND] = 2, [BACK] = 1, [OUT] = 30, [CULLED] = 3, [WAITED] = 3 }, 33, true, 30.0 / 33, 33 },
		{ { [START] = 8, [IN] = 2, [OUT] = 9, [CULLED] = 1 }, 10, true, 0.9, 10 },
		/* under way: a test piece lost while waiting, nothing unloaded yet */
		{ { [IN] = 156, [CULLED] = 1, [WAITED] = 1, [STILL] = 155 }, 156, false, 0, 0 },
		{ { [IN] = 120, [STILL] = 120 }, 120, false, 0, 0 },
		/* 8 of the 10 graded so far passed */
		{ { [IN] = 100, [OUT] = 8, [CULLED] = 2, [STILL] = 90 }, 100, true, 0.8, 10 },
		/* 3 of 300 missing, 5 issued: 297/300 of 5/5 */
		{ { [IN] = 300, [OUT] = 5, [CULLED] = 3, [WAITED] = 3, [STILL] = 292 }, 300, true, 0.99, 8 },
		/* both kinds: 99/100 were not lost waiting, 27 of 30 passed */
		{ { [IN] = 100, [OUT] = 27, [CULLED] = 4, [WAITED] = 1, [STILL] = 69 }, 100, true, 0.99 * 0.9, 31 },
		/* all went into a pool; some did, some went on */
		{ { [IN] = 34, [CROSSED] = -34 }, 0, false, 0, 0 },
		{ { [IN] = 31, [CROSSED] = -22, [OUT] = 8, [CULLED] = 1 }, 9, true, 8.0 / 9, 9 },
		{ { [IN] = 610, [CROSSED] = -13, [OUT] = 595, [CULLED] = 2, [WAITED] = 2 }, 597, true, 595.0 / 597, 597 },
		{ { [CROSSED] = 56, [OUT] = 55, [CULLED] = 1 }, 56, true, 55.0 / 56, 56 },
		/* went back */
		{ { [IN] = 8, [BACK] = -1, [OUT] = 6, [CULLED] = 1, [WAITED] = 1 }, 7, true, 6.0 / 7, 7 },
		{ { 0 }, 0, false, 0, 0 },
	};

	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		struct stage_share s = stages_yield(CASES[i].n);

		CHECK_CASE(i);
		CHECK_INT(stages_entered(CASES[i].n), CASES[i].entered);
		CHECK(s.known == CASES[i].known);
		CHECK_NEAR(s.p, CASES[i].p, 1e-12);
		CHECK_NEAR(s.n, CASES[i].cases, 1e-12);
	}
	CHECK_CASE(-1);
}

static void check_closed_lot(void)
{
	struct stages_through t = stages_through_none;
	int64_t in = 1 + thrown_below(500), there = in;

	for (unsigned steps = 1 + thrown_below(7); steps; steps--) {
		unsigned most = thrown_below(3) ? thrown_below((size_t)there + 1) : 0;
		int64_t culled = most / (1 + thrown_below(20));
		int64_t n[STAGE_COUNTS] = { [IN] = there, [OUT] = there - culled, [CULLED] = culled, [WAITED] = thrown_below(2) ? culled : 0 };
		struct stage_share so_far;
		double low, high, want_low, want_high;

		if (!there)
			break;
		there -= culled;
		stages_through_add(&t, stages_yield(n));
		so_far = stages_through(&t);
		CHECK(so_far.known);
		CHECK_NEAR(so_far.p, (double)there / (double)in, 1e-9);
		wilson_share(so_far.p, so_far.n, NORMAL_975, &low, &high);
		wilson_interval(there, in, NORMAL_975, &want_low, &want_high);
		if (there) {
			CHECK_NEAR(so_far.n, (double)in, 1e-6 * (double)in);
			CHECK_NEAR(low, want_low, 1e-9);
			CHECK_NEAR(high, want_high, 1e-9);
		} else
			CHECK(low <= 0 && high >= want_high - 1e-9 && high <= 1); /* never surer than the lot was big */
	}
}

static void check_unknown(void)
{
	struct stages_through t = stages_through_none;

	CHECK(stages_through(&t).known);
	stages_through_add(&t, (struct stage_share){ true, 0.5, 10 });
	stages_through_add(&t, (struct stage_share){ false, 0, 0 });
	CHECK(!stages_through(&t).known);
	stages_through_add(&t, (struct stage_share){ true, 0.5, 10 });
	CHECK(!stages_through(&t).known);
}

/* wilson_share() of whole cases is wilson_interval(), and at the ends it stays within 0 and 1. */
static void check_wilson(void)
{
	double low, high, a, b;

	for (int64_t n = 1; n < 60; n++)
		for (int64_t k = 0; k <= n; k++) {
			wilson_share((double)k / (double)n, (double)n, NORMAL_975, &low, &high);
			CHECK(wilson_interval(k, n, NORMAL_975, &a, &b));
			CHECK(low == a && high == b);
			CHECK(low >= 0 && high <= 1 && low <= (double)k / (double)n && high >= (double)k / (double)n);
		}
}

int main(void)
{
	thrown_seed = 77;
	check_yields();
	check_unknown();
	check_wilson();
	for (int i = 0; i < 5000; i++)
		check_closed_lot();
	return check_end();
}
