/* Days that are known between two: hand-worked estimates. */
#include "math/turnbull.h"

#include "check.h"

enum { DAYS = 30 };

static double share[DAYS + 1];

static void check_shares(const struct day_seen *seen, size_t n, const double (*want)[2], size_t nwant)
{
	double sum = 0, all = 0;

	CHECK(turnbull(seen, n, share, DAYS));
	for (int d = 0; d <= DAYS; d++)
		all += share[d];
	CHECK_NEAR(all, 1, 1e-9);
	for (size_t i = 0; i < nwant; i++) {
		CHECK_NEAR(share[(int)want[i][0]], want[i][1], 1e-7);
		sum += want[i][1];
	}
	CHECK_NEAR(sum, 1, 1e-9);
}

int main(void)
{
	static const struct day_seen exact[] = { { 4, 5 }, { 8, 9 }, { 8, 9 }, { 19, 20 } };
	static const struct day_seen one[] = { { 9, 12 } }, unseen[] = { { 6, DAY_UNSEEN } }, late[] = { { 100, 120 } }, early[] = { { -1, 0 } };
	/* Kaplan and Meier: of four, one at 5; of three, one lost after 7; the last two at 9 and lost after 12. */
	static const struct day_seen lost[] = { { 4, 5 }, { 7, DAY_UNSEEN }, { 8, 9 }, { 12, DAY_UNSEEN } };
	/* Overlaps: the two meet on days 6 and 7. */
	static const struct day_seen meet[] = { { 3, 7 }, { 5, 11 } };

	check_shares(exact, 4, (const double[][2]){ { 5, 0.25 }, { 9, 0.5 }, { 20, 0.25 } }, 3);
	check_shares(one, 1, (const double[][2]){ { 10, 1 / 3.0 }, { 11, 1 / 3.0 }, { 12, 1 / 3.0 } }, 3);
	check_shares(unseen, 1, (const double[][2]){ { 7, 1 } }, 1);
	check_shares(late, 1, (const double[][2]){ { DAYS, 1 } }, 1);
	check_shares(early, 1, (const double[][2]){ { 0, 1 } }, 1);
	check_shares(lost, 4, (const double[][2]){ { 5, 0.25 }, { 9, 0.375 }, { 13, 0.375 } }, 3);
	check_shares(meet, 2, (const double[][2]){ { 6, 0.5 }, { 7, 0.5 } }, 2);
	CHECK(!turnbull(exact, 0, share, DAYS));
	CHECK_NEAR(share[5], 0, 0);
	return check_end();
}
