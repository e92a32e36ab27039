#include "air/control_chart.h"

#include <math.h>

enum { TRIED = 50, NARROWED = 60 };

static const double SDS = 3; /* from the centre to a limit */
static const double MOST = 0.98, MOST_USED = 0.95; /* of the correlation */

/* ---- the process */

/* The likelihood of one correlation, the best centre put in: exact, with days that are missing. */
struct trial {
	double centre, squares, weight, minus_log;
};

/* The error of a day against the one before it: its variance over that of one day, and what of the mean is carried. */
static double carried(double correlation, int32_t days, double *variance)
{
	double left = pow(correlation, days);

	*variance = correlation < 1e-9 ? 1 : (1 - left * left) / (1 - correlation * correlation);
	return left;
}

static struct trial try_correlation(const struct air_day *day, size_t n, double f)
{
	struct trial t = { 0, 0, 1 - f * f, -log(1 - f * f) };
	double pull = (1 - f * f) * day[0].mean, off;

	for (size_t i = 1; i < n; i++) {
		double v, left = carried(f, day[i].day - day[i - 1].day, &v);

		t.weight += (1 - left) * (1 - left) / v;
		pull += (1 - left) * (day[i].mean - left * day[i - 1].mean) / v;
		t.minus_log += log(v);
	}
	t.centre = pull / t.weight;
	off = day[0].mean - t.centre;
	t.squares = (1 - f * f) * off * off;
	for (size_t i = 1; i < n; i++) {
		double v, left = carried(f, day[i].day - day[i - 1].day, &v);

		off = day[i].mean - t.centre - left * (day[i - 1].mean - t.centre);
		t.squares += off * off / v;
	}
	t.minus_log += (double)n * log(t.squares / (double)n);
	return t;
}

/* The likeliest correlation: the best of a grid, then by thirds about it. */
static double likeliest(const struct air_day *day, size_t n)
{
	double best = 0, least = INFINITY, low, high;

	for (int i = 0; i <= TRIED; i++) {
		double f = MOST * i / TRIED, v = try_correlation(day, n, f).minus_log;

		if (v < least) {
			least = v;
			best = f;
		}
	}
	low = fmax(best - MOST / TRIED, 0);
	high = fmin(best + MOST / TRIED, MOST);
	for (int i = 0; i < NARROWED; i++) {
		double a = low + (high - low) / 3, b = high - (high - low) / 3;

		if (try_correlation(day, n, a).minus_log < try_correlation(day, n, b).minus_log)
			high = b;
		else
			low = a;
	}
	return (low + high) / 2;
}

static bool all_alike(const struct air_day *day, size_t n)
{
	for (size_t i = 1; i < n; i++)
		if (fabs(day[i].mean - day[0].mean) > 1e-9 * fmax(1, fabs(day[0].mean)))
			return false;
	return true;
}

bool air_process_of(const struct air_day *day, size_t n, struct air_process *p)
{
	struct trial t;

	*p = (struct air_process){ .n = n };
	if (n < AIR_BASELINE_LEAST || all_alike(day, n))
		return false;
	p->correlation = likeliest(day, n);
	t = try_correlation(day, n, p->correlation);
	p->centre = t.centre;
	p->variance = t.squares / (double)n;
	p->centre_variance = p->variance / t.weight;
	return true;
}

/* ---- the limits */

double air_ewma_reach(double sd, double correlation)
{
	double carries = correlation * (1 - AIR_LAMBDA);

	return SDS * sd * sqrt(AIR_LAMBDA / (2 - AIR_LAMBDA) * (1 + carries) / (1 - carries));
}

bool air_limits_of(const struct air_day *day, size_t n, int32_t from, int32_t to, struct air_limits *limits)
{
	size_t first = 0, last;
	struct air_process p;
	double sd, own, days, ewma;

	*limits = (struct air_limits){ 0 };
	while (first < n && day[first].day < from)
		first++;
	for (last = first; last < n && day[last].day <= to;)
		last++;
	limits->n = last - first;
	if (!air_process_of(day + first, limits->n, &p))
		return false;
	days = (double)limits->n;
	limits->centre = p.centre;
	limits->correlation = fmin(p.correlation + (1 + 3 * p.correlation) / days, MOST_USED);
	limits->step_sd = sqrt(p.variance * days / (days - 2));
	own = p.centre_variance * days / (days - 2); /* the centre is an estimate too */
	sd = limits->step_sd / sqrt(1 - limits->correlation * limits->correlation);
	limits->low = p.centre - SDS * sqrt(sd * sd + own);
	limits->high = p.centre + SDS * sqrt(sd * sd + own);
	ewma = hypot(air_ewma_reach(sd, limits->correlation), SDS * sqrt(own));
	limits->ewma_low = p.centre - ewma;
	limits->ewma_high = p.centre + ewma;
	return true;
}

double air_expected(const struct air_limits *l, double mean, int32_t days)
{
	return l->centre + pow(l->correlation, days) * (mean - l->centre);
}

double air_expected_reach(const struct air_limits *l, int32_t days)
{
	double v;

	carried(l->correlation, days, &v);
	return SDS * l->step_sd * sqrt(v);
}

double air_ewma_next(double before, double mean)
{
	return AIR_LAMBDA * mean + (1 - AIR_LAMBDA) * before;
}
