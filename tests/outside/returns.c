/*
 * returns - the statistics of wy-returns beside R's own (returns.R, on standard input) and beside published examples.
 */
#include <stdbool.h>
#include <stdint.h>

#include "math/event_rate.h"
#include "math/false_discovery.h"
#include "math/rank_sum.h"
#include "math/trend.h"
#include "expect.h"

enum { MOST = 2000 };

static void expect_alike(const char *what, double got, double want, double relative)
{
	expect_near(what, got, want, relative * fabs(want) + 1e-15);
}

/* ---- published */

/*
 * Fleiss (1981), Statistical Methods for Rates and Proportions, 2nd ed., p. 139: smokers among lung cancer patients of four
 * studies, as the example of R's prop.trend.test(): X-squared = 8.2249, p = 0.004132.
 */
static void smokers(void)
{
	static const struct trend_group group[] = { { 83, 86, 1 }, { 90, 93, 2 }, { 129, 136, 3 }, { 70, 82, 4 } };
	struct trend t = trend_of(group, 4);

	expect_near("Fleiss's smokers, X-squared", t.z * t.z, 8.2249, 5e-5);
	expect_near("Fleiss's smokers, p", t.p, 0.004132, 5e-7);
	expect_true("Fleiss's smokers fall", t.z < 0);
}

/*
 * Agresti (2002), Categorical Data Analysis, 2nd ed., section 3.4 (from memory): alcohol and malformations, scores 0, 0.5, 1.5,
 * 4, 7: the trend's statistic is 6.57, p = 0.01.
 */
static void malformations(void)
{
	static const struct trend_group group[] = { { 48, 17114, 0 }, { 38, 14502, 0.5 }, { 5, 793, 1.5 }, { 1, 127, 4 }, { 1, 38, 7 } };
	struct trend t = trend_of(group, 5);

	expect_near("Agresti's malformations", t.z * t.z, 6.57, 5e-3);
	expect_near("Agresti's malformations, p", t.p, 0.01, 5e-3);
}

/*
 * Benjamini and Hochberg (1995), section 4.1 (the figures from memory): fifteen comparisons of a treatment. At 5 % their procedure
 * rejects the four with the smallest p; Bonferroni's rejects three.
 */
static void thrombolysis(void)
{
	static const double p[] = { 0.0001, 0.0004, 0.0019, 0.0095, 0.0201, 0.0278, 0.0298, 0.0344, 0.0459, 0.3240, 0.4262, 0.5719, 0.6528,
		0.7590, 1.0000 };
	double adjusted[15];
	int rejected = 0;

	false_discovery_adjust(p, 15, adjusted);
	for (int i = 0; i < 15; i++)
		rejected += adjusted[i] <= 0.05;
	expect_true("Benjamini and Hochberg reject four", rejected == 4 && adjusted[3] <= 0.05 && adjusted[4] > 0.05);
	expect_near("the fourth", adjusted[3], 0.0095 * 15 / 4, 1e-15);
}

/*
 * By hand after Tarone (1990): of four, three could have p at most 0.05, more than one; three at most 0.05 / 2, more than two; one at
 * most 0.05 / 3, not more than three. So one is kept. If all could be small enough, all are.
 */
static void testable(void)
{
	static const double some[] = { 0.2, 0.001, 0.02, 0.02 }, all[] = { 0.001, 0.002, 0.0125, 0.0125 };
	bool kept[4];

	expect_true("one is kept", false_discovery_keep(some, 4, 0.05, kept) == 1 && kept[1] && !kept[0] && !kept[2] && !kept[3]);
	expect_true("all are kept", false_discovery_keep(all, 4, 0.05, kept) == 4 && kept[0] && kept[1] && kept[2] && kept[3]);
	expect_near("the least p of two events", event_rate_least_p(2, 130.7, 3635.1 - 130.7), pow(130.7 / 3635.1, 2), 1e-15);
}

/* Garwood (1936), two-sided 95 % of a Poisson count (from memory): 0, 5 and 10. */
static void garwood(void)
{
	static const double table[][3] = { { 0, 0, 3.689 }, { 5, 1.623, 11.668 }, { 10, 4.795, 18.390 } };

	for (int i = 0; i < 3; i++) {
		struct event_rate r = event_rate((int64_t)table[i][0], 1, 0.95);

		expect_near("Garwood, low", r.low, table[i][1], 6e-4);
		expect_near("Garwood, high", r.high, table[i][2], 6e-4);
	}
}

static void no_answers(void)
{
	static const struct trend_group none[] = { { 0, 5, 1 }, { 0, 6, 2 } }, one[] = { { 2, 5, 1 }, { 3, 6, 1 } };
	struct rank_sum_value same[] = { { 1, true }, { 2, true } }, equal[] = { { 3, true }, { 3, false }, { 3, false } };

	expect_true("no time", isnan(event_rate(2, 0, 0.95).rate));
	expect_true("no event differs", event_rate_differs_p(0, 3, 0, 5) == 1);
	expect_true("no trend of none", isnan(trend_of(none, 2).p));
	expect_true("no trend of one score", isnan(trend_of(one, 2).p));
	expect_true("no ranks of one group", isnan(rank_sum_of(same, 2).p));
	expect_true("equal values", rank_sum_of(equal, 3).p == 1);
}

/* ---- how often, of simulated works */

static uint64_t dice = 20260101;

static double roll(void)
{
	dice = dice * 6364136223846793005u + 1442695040888963407u;
	return (double)(dice >> 11) / 9007199254740992.0;
}

enum { GROUPS = 30, EVENTS = 5, WORKS = 4000 };

/* Five returns among thirty handle lots of different exposure, of which the first has `times` the rate of the others. */
static int discoveries(double times, int *first)
{
	double time[GROUPS], weight = 0, p[GROUPS], least[GROUPS], some[GROUPS], all = 0;
	int64_t k[GROUPS] = { 0 };
	bool kept[GROUPS];
	size_t n = 0;
	int found = 0;

	for (int i = 0; i < GROUPS; i++) {
		double of_both = roll();

		of_both *= roll();
		time[i] = 5 + 200 * of_both;
		all += time[i];
		weight += time[i] * (i ? 1 : times);
	}
	for (int e = 0; e < EVENTS; e++) {
		double at = roll() * weight;
		int i = 0;

		while (i + 1 < GROUPS && (at -= time[i] * (i ? 1 : times)) >= 0)
			i++;
		k[i]++;
	}
	for (int i = 0; i < GROUPS; i++) {
		p[i] = event_rate_differs_p(k[i], time[i], EVENTS - k[i], all - time[i]);
		least[i] = event_rate_least_p(EVENTS, time[i], all - time[i]);
	}
	false_discovery_keep(least, GROUPS, 0.05, kept);
	for (int i = 0; i < GROUPS; i++)
		if (kept[i])
			some[n++] = p[i];
	false_discovery_adjust(some, n, some);
	n = 0;
	for (int i = 0; i < GROUPS; i++) {
		bool is = kept[i] && some[n] <= 0.05;

		n += kept[i];
		found += is;
		*first += i == 0 && is;
	}
	return found;
}

/* Where nothing differs, a works in twenty at most is told of a difference; a rate a hundred times as high is mostly found. */
static void guarded(void)
{
	int any = 0, first = 0, none = 0;

	for (int i = 0; i < WORKS; i++)
		any += discoveries(1, &none) > 0;
	expect_true("false discoveries are rare", any < WORKS * (0.05 + 3 * sqrt(0.05 * 0.95 / WORKS)));
	for (int i = 0; i < WORKS; i++)
		discoveries(100, &first);
	expect_true("a high rate is found", first > WORKS / 2);
	printf("# of %d works without a difference %d were told of one; of as many with one %d were told of it\n", WORKS, any, first);
}

/* The exact interval holds the true rate at least as often as it says. */
static void covered(void)
{
	static const double means[] = { 0.3, 2, 7.5 };

	for (int m = 0; m < 3; m++) {
		int holds = 0;

		for (int i = 0; i < WORKS; i++) {
			double left = exp(-means[m]), product = roll();
			int64_t k = 0;
			struct event_rate r;

			for (; product > left; k++)
				product *= roll();
			r = event_rate(k, 1, 0.95);
			holds += r.low <= means[m] && means[m] <= r.high;
		}
		expect_true("the interval of a rate holds it", holds >= WORKS * (0.95 - 3 * sqrt(0.05 * 0.95 / WORKS)));
	}
}

/* ---- beside R */

static double number[MOST];

static size_t numbers(char *at)
{
	size_t n = 0;

	while (*at && n < MOST)
		number[n++] = expect_number(&at);
	return n;
}

static void against_trend(void)
{
	struct trend_group group[10];
	size_t m = (size_t)number[0];
	struct trend t;

	for (size_t i = 0; i < m; i++)
		group[i] = (struct trend_group){ (int64_t)number[1 + i], (int64_t)number[1 + m + i], number[1 + 2 * m + i] };
	t = trend_of(group, m);
	expect_alike("trend, X-squared", t.z * t.z, number[1 + 3 * m], 1e-9);
	expect_alike("trend, p", t.p, number[2 + 3 * m], 1e-9);
}

static void against_adjust(void)
{
	size_t m = (size_t)number[0];

	false_discovery_adjust(number + 1, m, number + 1);
	for (size_t i = 0; i < m; i++)
		expect_alike("adjusted", number[1 + i], number[1 + m + i], 1e-14);
}

static void against_ranks(int exact)
{
	static struct rank_sum_value value[MOST];
	size_t m = (size_t)number[0], n = m + (size_t)number[1];
	struct rank_sum r;

	for (size_t i = 0; i < n; i++)
		value[i] = (struct rank_sum_value){ number[2 + i], i < m };
	r = rank_sum_of(value, n);
	expect_true("exact or not", r.exact == exact);
	expect_alike("ranks", r.p, number[2 + n], 1e-9);
}

static void against(const char *name, size_t n)
{
	if (strcmp(name, "rate") == 0) {
		struct event_rate r = event_rate((int64_t)number[0], number[1], number[2]);

		expect_alike("rate, low", r.low, number[3], 1e-8);
		expect_alike("rate, high", r.high, number[4], 1e-8);
	} else if (strcmp(name, "differs") == 0)
		expect_alike("differs", event_rate_differs_p((int64_t)number[0], number[1], (int64_t)number[2], number[3]), number[4], 1e-8);
	else if (strcmp(name, "trend") == 0)
		against_trend();
	else if (strcmp(name, "adjust") == 0)
		against_adjust();
	else
		against_ranks(strcmp(name, "rank_exact") == 0);
	expect_true("figures", n > 2);
}

int main(void)
{
	static char line[40000];

	smokers();
	malformations();
	thrombolysis();
	garwood();
	testable();
	guarded();
	covered();
	no_answers();
	while (expect_line(stdin, line, sizeof line)) {
		char *at = line, *name = expect_field(&at);

		against(name, numbers(at));
	}
	return expect_verdict(1500);
}
