/*
 * chart - control_chart.h beside what chart.R computes: fits of an autoregressive process, the variance of the
 * weighted mean, and how many good days lie outside the limits.
 */
#include "air/control_chart.h"
#include "expect.h"

enum { DAYS_MOST = 200, BASELINE = 59 };

static double next_number(void)
{
	char line[200], *at = line;

	expect_true("a line more", expect_line(stdin, line, sizeof(line)));
	return expect_number(&at);
}

static void fit(char *at)
{
	double correlation = expect_number(&at), centre = expect_number(&at), variance = expect_number(&at);
	size_t n = (size_t)expect_number(&at);
	struct air_day day[DAYS_MOST];
	struct air_process p;
	char line[200];

	for (size_t i = 0; i < n && expect_line(stdin, line, sizeof(line)); i++) {
		char *here = line;

		day[i].day = (int32_t)expect_number(&here);
		day[i].mean = expect_number(&here);
	}
	expect_true("a process", air_process_of(day, n, &p));
	expect_near("correlation", p.correlation, correlation, 2e-5);
	expect_near("centre", p.centre, centre, 2e-5 * centre);
	expect_near("variance", p.variance, variance, 2e-5 * variance);
}

static void ewma(char *at)
{
	double correlation = expect_number(&at), reach = air_ewma_reach(1, correlation) / 3;

	expect_near("variance of the weighted mean", reach * reach, expect_number(&at), 1e-9);
}

/* Of the days after the baseline: the share outside the limits, and outside those for independent days (e-Handbook 6.3.2.2). */
static void good(char *at)
{
	double correlation = expect_number(&at), out = 0, changed = 0, plain = 0, days = 0;
	int rows = (int)expect_number(&at), n = (int)expect_number(&at);

	for (int r = 0; r < rows; r++) {
		struct air_day day[DAYS_MOST];
		struct air_limits l;
		double ranges = 0, mean = 0;

		for (int i = 0; i < n; i++)
			day[i] = (struct air_day){ i, next_number() };
		expect_true("limits", air_limits_of(day, (size_t)n, 0, BASELINE - 1, &l));
		for (int i = 0; i < BASELINE; i++) {
			mean += day[i].mean / BASELINE;
			ranges += i ? fabs(day[i].mean - day[i - 1].mean) / (BASELINE - 1) : 0;
		}
		for (int i = BASELINE; i < n; i++, days++) {
			out += day[i].mean < l.low || day[i].mean > l.high;
			changed += fabs(day[i].mean - air_expected(&l, day[i - 1].mean, 1)) > air_expected_reach(&l, 1);
			plain += fabs(day[i].mean - mean) > 3 * ranges / 1.128;
		}
	}
	printf("correlation %g: %.2f %% of good days outside, %.2f %% change too much; with limits for independent days %.1f %%\n",
		correlation, 100 * out / days, 100 * changed / days, 100 * plain / days);
	expect_true("few good days are outside", out / days < 0.02);
	expect_true("few good days change too much", changed / days < 0.01);
	expect_true("limits for independent days", plain / days > 0.03);
}

int main(void)
{
	char line[200];

	while (expect_line(stdin, line, sizeof(line))) {
		char *at = line;
		const char *name = expect_field(&at);

		if (!strcmp(name, "fit"))
			fit(at);
		else if (!strcmp(name, "ewma"))
			ewma(at);
		else
			good(at);
	}
	return expect_verdict(70000);
}
