/* Chances of days: ranges, the median, and scores, worked out by hand. */
#include "math/day_odds.h"

#include <math.h>

#include "check.h"

/* Four days and never: by day 1 0.1, by 2 0.4, by 3 0.8, by 4 0.9. */
static const double SHARE[] = { NAN, 0.1, 0.3, 0.4, 0.1, 0.1 };
static const struct day_odds ODDS = { SHARE, 4 };

/* All on day 2. */
static const double SURE[] = { 0, 0, 1, 0, 0, 0 };
static const struct day_odds CERTAIN = { SURE, 4 };

static void ranges(void)
{
	static const double two[] = { 0, 0.3, 0, 0, 0, 0.7 }, none[] = { 0, 0, 0, 0, 0, 1 },
		soon[] = { 0, 0, 0.6, 0, 0, 0.4 }, even[] = { 0, 0.5, 0, 0, 0.5, 0 };
	struct day_range r = day_odds_range(&ODDS, 0.5);

	/* Neither tail may have more than 1/4: days 2 and 3 have 0.7; day 3 alone 0.4 comes nearer. */
	CHECK_INT(r.first, 3);
	CHECK_INT(r.last, 3);
	CHECK_NEAR(r.share, 0.4, 1e-12);
	r = day_odds_range(&ODDS, 0.9);
	CHECK_INT(r.first, 2);
	CHECK_INT(r.last, 5); /* 0.9 with never; days 1 to 5 have 1, 2 to 4 0.8 */
	r = day_odds_range(&ODDS, 0.8);
	CHECK_INT(r.first, 2);
	CHECK_INT(r.last, 4);
	r = day_odds_range(&CERTAIN, 0.5);
	CHECK_INT(r.first, 2);
	CHECK_INT(r.last, 2);
	r = day_odds_range(&(struct day_odds){ two, 4 }, 0.9); /* no end on a day without a chance */
	CHECK_INT(r.first, 1);
	CHECK_INT(r.last, 5);
	r = day_odds_range(&(struct day_odds){ none, 4 }, 0.5);
	CHECK_INT(r.first, 5);
	CHECK_INT(r.last, 5);
	r = day_odds_range(&(struct day_odds){ soon, 4 }, 0.5); /* never alone, 0.4, is as near, but the median is on day 2 */
	CHECK_INT(r.first, 2);
	CHECK_INT(r.last, 2);
	r = day_odds_range(&(struct day_odds){ two, 4 }, 0.3);  /* day 1 alone is nearer, but the median is never */
	CHECK_INT(r.first, 5);
	CHECK_INT(r.last, 5);
	r = day_odds_range(&(struct day_odds){ even, 4 }, 0.5);
	CHECK_INT(r.first, 1);
	CHECK_INT(r.last, 1);
	CHECK_NEAR(day_odds_median(&(struct day_odds){ even, 4 }), 1.5, 1e-12); /* the end of day 1 */
	CHECK(isinf(day_odds_median(&(struct day_odds){ none, 4 })));
	CHECK(isinf(day_odds_median(&(struct day_odds){ two, 4 })));
	CHECK_NEAR(day_odds_median(&ODDS), 2.75, 1e-12); /* 0.1 of the 0.4 of day 3 */
	CHECK_NEAR(day_odds_median(&CERTAIN), 2, 1e-12);
}

static double crps(int after, int by)
{
	return day_odds_crps(&ODDS, (struct day_seen){ after, by });
}

static void scores(void)
{
	CHECK_NEAR(crps(2, 3), 0.01 + 0.16 + 0.04 + 0.01, 1e-12);
	CHECK_NEAR(crps(0, 1), 0.81 + 0.36 + 0.04 + 0.01, 1e-12);
	CHECK_NEAR(crps(1, 3), 0.01 + 0.04 + 0.01, 1e-12);      /* of day 2 nothing is known */
	CHECK_NEAR(crps(2, DAY_UNSEEN), 0.01 + 0.16, 1e-12);
	CHECK_NEAR(crps(4, 5), 0.01 + 0.16 + 0.64 + 0.81, 1e-12); /* above the days: never */
	CHECK_NEAR(crps(400, 500), crps(4, 5), 0);
	CHECK_NEAR(crps(4, DAY_UNSEEN), crps(4, 5), 0);
	CHECK_NEAR(day_odds_crps(&CERTAIN, (struct day_seen){ 3, 4 }), 2, 1e-12); /* the distance of a single day */
	CHECK_NEAR(day_odds_crps(&CERTAIN, (struct day_seen){ 1, 2 }), 0, 1e-12);
	CHECK_NEAR(day_late(2, (struct day_seen){ 3, 4 }), -2, 0);
	CHECK_NEAR(day_late(2, (struct day_seen){ 0, 1 }), 1, 0);
	CHECK_NEAR(day_late(2, (struct day_seen){ 0, 4 }), 0, 0);
	CHECK_NEAR(day_late(9, (struct day_seen){ 3, DAY_UNSEEN }), 0, 0);
	CHECK_NEAR(day_late(2, (struct day_seen){ 3, DAY_UNSEEN }), -2, 0);
}

static void check_bins(struct day_seen seen, const struct day_odds *odds, const double *want)
{
	double bin[5] = { 0 };

	day_odds_pit(odds, seen, bin, 5);
	for (int i = 0; i < 5; i++)
		CHECK_NEAR(bin[i], want[i], 1e-9);
}

static void histogram(void)
{
	/* Day 2: from 0.1 to 0.4, of which a third is below 0.2. */
	check_bins((struct day_seen){ 1, 2 }, &ODDS, (const double[]){ 1 / 3.0, 2 / 3.0, 0, 0, 0 });
	/* After day 3: from 0.8 to 1. */
	check_bins((struct day_seen){ 3, DAY_UNSEEN }, &ODDS, (const double[]){ 0, 0, 0, 0, 1 });
	/* After day 1, by day 3: from 0.1 to 0.8. */
	check_bins((struct day_seen){ 1, 3 }, &ODDS, (const double[]){ 1 / 7.0, 2 / 7.0, 2 / 7.0, 2 / 7.0, 0 });
	/* Where no chance was seen: one place. */
	check_bins((struct day_seen){ 0, 1 }, &CERTAIN, (const double[]){ 1, 0, 0, 0, 0 });
	check_bins((struct day_seen){ 2, 3 }, &CERTAIN, (const double[]){ 0, 0, 0, 0, 1 });
}

static struct day_held held(int first, int last, int after, int by)
{
	return day_odds_held(&ODDS, (struct day_range){ first, last, 0 }, (struct day_seen){ after, by });
}

static void holding(void)
{
	CHECK_NEAR(held(2, 3, 1, 2).held, 1, 0);
	CHECK_NEAR(held(2, 3, 0, 1).held, 0, 0);
	CHECK(!held(2, 3, 1, 3).undecided);
	CHECK_NEAR(held(2, 3, 1, 3).held, 1, 0);
	CHECK(held(2, 3, 2, 4).undecided);
	CHECK_NEAR(held(2, 3, 2, 4).held, 0.8, 1e-12);          /* day 3 has 0.4, day 4 0.1 */
	CHECK_NEAR(held(2, 3, 3, DAY_UNSEEN).held, 0, 0);       /* its days had passed */
	CHECK(!held(2, 3, 3, DAY_UNSEEN).undecided);
	CHECK_NEAR(held(2, 4, 2, DAY_UNSEEN).held, 5 / 6.0, 1e-12);
	CHECK_NEAR(held(2, 5, 2, DAY_UNSEEN).held, 1, 0);       /* without an end */
	CHECK(!held(2, 5, 2, DAY_UNSEEN).undecided);
	CHECK_NEAR(held(2, 4, 300, 400).held, 0, 0);
	CHECK_NEAR(held(2, 5, 300, 400).held, 1, 0);
	/* No chance on any of the days: as many parts as days. */
	CHECK_NEAR(day_odds_held(&CERTAIN, (struct day_range){ 2, 3, 1 }, (struct day_seen){ 2, 4 }).held, 0.5, 1e-12);
}

/* The bins and what the ranges hold are as the forecast says if the days come as it says, whatever of them is seen. */
static void honest(void)
{
	static const struct day_range range = { 2, 3, 0.7 };
	double bin[5] = { 0 }, n = 0, all = 0;

	for (int day = 1; day <= 5; day++) /* each as often as its chance; seen on days 2 and 4 only */
		for (int i = 0; i < (int)lround(10 * SHARE[day]); i++) {
			struct day_seen seen = day <= 2 ? (struct day_seen){ 0, 2 } : day <= 4 ? (struct day_seen){ 2, 4 } : (struct day_seen){ 4, DAY_UNSEEN };

			day_odds_pit(&ODDS, seen, bin, 5);
			all += day_odds_held(&ODDS, range, seen).held;
			n++;
		}
	for (int i = 0; i < 5; i++)
		CHECK_NEAR(bin[i], n / 5, 1e-9);
	CHECK_NEAR(all, 0.7 * n, 1e-9);
}

int main(void)
{
	ranges();
	scores();
	histogram();
	holding();
	honest();
	return check_end();
}
