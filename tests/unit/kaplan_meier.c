/* How long it took: by hand, in any order, and with what cannot be (tests/outside/kaplan_meier.bats has it beside R). */
#include <math.h>

#include "math/kaplan_meier.h"
#include "math/stats.h"
#include "check.h"

/* Ten came on day 0: four went on day 10, two were taken out after day 15, two went on day 20, two wait since 30 days. */
static void check_by_hand(void)
{
	struct km_case list[] = { { -1, 10, 1, true, 4 }, { -1, 15, 1, false, 2 }, { -1, 20, 1, true, 2 }, { -1, 30, 1, false, 2 } };
	struct kaplan_meier km;
	double low, high;

	kaplan_meier_of(&km, list, 4);
	CHECK_INT(km.n, 2);
	CHECK_INT(km.batches, 1);
	CHECK_INT(km.cases, 10);
	CHECK_INT(km.ended, 6);
	CHECK_INT(km.step[1].at_risk, 4);
	CHECK_NEAR(km.step[0].share, 0.6, 1e-15);
	CHECK_NEAR(km.step[1].share, 0.3, 1e-15);
	CHECK_NEAR(km_day(&km, 0.5), 20, 0);
	CHECK_NEAR(km_day(&km, 0.4), 15, 0); /* level at 0.6 from day 10 to day 20 */
	CHECK(isnan(km_day(&km, 0.9)));
	/* one batch adds nothing to its own estimate */
	CHECK_NEAR(km.step[0].error, 0, 1e-15);
	km_day_interval(&km, 0.5, NORMAL_975, &low, &high);
	CHECK_NEAR(low, 20, 0);
	kaplan_meier_release(&km);
}

/* Single pieces, of which all went: the error is that of a share, p (1 - p) / n. */
static void check_error(void)
{
	struct km_case list[] = { { -1, 5, 1, true, 1 }, { -1, 3, 2, true, 1 }, { -1, 9, 3, true, 1 }, { -1, 3, 4, true, 1 }, { -1, 7, 5, true, 1 } };
	struct kaplan_meier km;

	kaplan_meier_of(&km, list, 5);
	for (size_t i = 0; i < km.n; i++)
		CHECK_NEAR(km.step[i].error, sqrt(km.step[i].share * (1 - km.step[i].share) / 5), 1e-12);
	CHECK_NEAR(km_day(&km, 0.5), 5, 0);
	kaplan_meier_release(&km);
}

/* Who comes late counts from then on: of three there on day 4 one went, though two more came on day 6. */
static void check_late(void)
{
	struct km_case list[] = { { 6, 8, 3, true, 2 }, { -1, 4, 1, true, 1 }, { -1, 9, 1, false, 2 }, { 5, 5, 9, true, 7 }, { -1, 9, 9, true, 0 } };
	struct kaplan_meier km;

	kaplan_meier_of(&km, list, 5);
	CHECK_INT(km.n, 2);
	CHECK_INT(km.step[0].at_risk, 3);
	CHECK_INT(km.step[1].at_risk, 4);
	CHECK_NEAR(km.step[1].share, 2 / 3.0 / 2, 1e-15);
	kaplan_meier_release(&km);
}

static void check_none(void)
{
	struct kaplan_meier km;
	double low, high;

	kaplan_meier_of(&km, NULL, 0);
	CHECK(isnan(km_day(&km, 0.5)));
	km_day_interval(&km, 0.5, NORMAL_975, &low, &high);
	CHECK(isnan(low) && isnan(high));
	CHECK_INT(km.batches, 0);
	kaplan_meier_release(&km);
}

/* Whatever the order, the bytes are the same. */
static void check_order(void)
{
	enum { N = 40 };
	struct km_case list[N], turned[N];
	struct kaplan_meier a, b;

	for (int i = 0; i < N; i++)
		list[i] = (struct km_case){ i % 5 ? -1 : i % 4, 3 + (i * 7) % 19, i % 6, i % 3 != 0, 1 + i % 4 };
	for (int i = 0; i < N; i++)
		turned[i] = list[(i * 13 + 5) % N];
	kaplan_meier_of(&a, list, N);
	kaplan_meier_of(&b, turned, N);
	CHECK_INT(a.n, b.n);
	CHECK(memcmp(a.step, b.step, a.n * sizeof *a.step) == 0);
	kaplan_meier_release(&a);
	kaplan_meier_release(&b);
}

int main(void)
{
	check_by_hand();
	check_error();
	check_late();
	check_none();
	check_order();
	return check_end();
}
