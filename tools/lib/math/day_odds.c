#include "math/day_odds.h"

#include <math.h>

/* Sums of chances are off by no more. */
static const double ROUNDING = 1e-12;

/* ---- what the odds say */

/* The chance that it has come by a day. */
static double come_by(const struct day_odds *odds, int day)
{
	double sum = 0;

	if (day > odds->days)
		return 1;
	for (int d = 1; d <= day; d++)
		sum += odds->share[d];
	return fmin(sum, 1);
}

double day_odds_median(const struct day_odds *odds)
{
	double sum = 0;

	for (int d = 1; d <= odds->days; d++) {
		if (odds->share[d] > 0 && sum + odds->share[d] >= 0.5 - ROUNDING)
			return d - 0.5 + (0.5 - sum) / odds->share[d];
		sum += odds->share[d];
	}
	return HUGE_VAL;
}

static double between(const struct day_odds *odds, int first, int last)
{
	return come_by(odds, last) - come_by(odds, first - 1);
}

/* The next day that has a chance, from `day` on in steps of 1 or -1; 0 for none. */
static int with_chance(const struct day_odds *odds, int day, int by)
{
	while (day >= 1 && day <= odds->days + 1 && !(odds->share[day] > 0))
		day += by;
	return day <= odds->days + 1 ? day : 0;
}

/* The day on which the chance that it has come reaches a half. */
static int middle_day(const struct day_odds *odds)
{
	int day = 1;

	while (come_by(odds, day) < 0.5 - ROUNDING)
		day++;
	return day;
}

struct day_range day_odds_range(const struct day_odds *odds, double share)
{
	double tail = (1 - share) / 2 + ROUNDING;
	int middle = middle_day(odds);
	int first = with_chance(odds, 1, 1), last = with_chance(odds, odds->days + 1, -1);
	struct day_range best = { 0, 0, 0 };

	while (first < last && come_by(odds, first) <= tail)
		first = with_chance(odds, first + 1, 1);
	while (last > first && 1 - come_by(odds, last - 1) <= tail)
		last = with_chance(odds, last - 1, -1);
	for (int i = 0; i < 4; i++) {
		int a = i & 1 ? with_chance(odds, first + 1, 1) : first, b = i & 2 ? with_chance(odds, last - 1, -1) : last;
		double holds = between(odds, a, b);

		if (a && a <= middle && middle <= b && (!best.first || fabs(holds - share) < fabs(best.share - share) - ROUNDING))
			best = (struct day_range){ a, b, holds };
	}
	return best;
}

/* ---- beside what came */

/* No day is above days + 1, which is never. */
static struct day_seen within(const struct day_odds *odds, struct day_seen seen)
{
	return (struct day_seen){ seen.after < odds->days ? seen.after : odds->days, seen.by <= odds->days ? seen.by : odds->days + 1 };
}

double day_odds_crps(const struct day_odds *odds, struct day_seen seen)
{
	double sum = 0, come = 0;

	for (int d = 1; d <= odds->days; d++) {
		come += odds->share[d];
		if (d <= seen.after)
			sum += come * come;
		else if (d >= seen.by)
			sum += (1 - come) * (1 - come);
	}
	return sum;
}

void day_odds_pit(const struct day_odds *odds, struct day_seen seen, double *bin, size_t bins)
{
	struct day_seen at = within(odds, seen);
	double low = come_by(odds, at.after), high = come_by(odds, at.by), n = (double)bins;

	if (high - low <= ROUNDING) { /* all in one place; the last bin has its upper end, too */
		size_t i = (size_t)(low * n);

		bin[i < bins ? i : bins - 1]++;
		return;
	}
	for (size_t i = 0; i < bins; i++)
		bin[i] += fmax(0, fmin(high, (double)(i + 1) / n) - fmax(low, (double)i / n)) / (high - low);
}

struct day_held day_odds_held(const struct day_odds *odds, struct day_range range, struct day_seen seen)
{
	struct day_seen at = within(odds, seen);
	int first = at.after + 1 > range.first ? at.after + 1 : range.first, last = at.by < range.last ? at.by : range.last;
	double all = between(odds, at.after + 1, at.by);

	if (first > last)
		return (struct day_held){ 0, false };
	if (first == at.after + 1 && last == at.by)
		return (struct day_held){ 1, false };
	if (all > ROUNDING)
		return (struct day_held){ fmin(between(odds, first, last) / all, 1), true };
	return (struct day_held){ (last - first + 1.0) / (at.by - at.after), true };
}

double day_late(double day, struct day_seen seen)
{
	if (day < seen.after + 1.0)
		return day - (seen.after + 1.0);
	return seen.by != DAY_UNSEEN && day > seen.by ? day - seen.by : 0;
}
