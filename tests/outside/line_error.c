/*
 * line_error - line_error.h and lot_quality.h beside what line_error.R computes with predict(), vcov() and t.test(); and how
 * often, with the error of the meter's line in them, the intervals of a lot hold what R drew it from.
 */
#include "book/value.h"
#include "house/house.h"
#include "moist/line_error.h"
#include "moist/lot_quality.h"
#include "moist/meter_line.h"
#include "expect.h"

enum { PAIRS_MOST = 300 };

static struct house_calibration own = { .span = { HOUSE_NONE, HOUSE_NONE } };

static int64_t steps(double pct)
{
	return (int64_t)llround(pct * VALUE_STEPS);
}

static char *next_line(char *line, int size)
{
	return expect_line(stdin, line, size) ? line : line + strlen(line);
}

/* The line as wy-moist --calibrate fits it, and as the house file then has it. */
static void fit_line_of(size_t n)
{
	struct meter_pair pair[PAIRS_MOST];
	struct meter_line fit;
	char line[200];

	for (size_t i = 0; i < n && i < PAIRS_MOST; i++) {
		char *at = next_line(line, sizeof(line));

		pair[i] = (struct meter_pair){ .reading_pct = expect_number(&at) };
		pair[i].true_pct = expect_number(&at);
	}
	fit = meter_line_of(pair, n);
	own = (struct house_calibration){ .a = fit.a, .b = fit.b, .sd = fit.sd, .b_error = fit.b_error, .pairs = (int64_t)n,
		.middle = steps(fit.middle_pct), .span = { steps(fit.low_pct), steps(fit.high_pct) } };
}

static void at_reading(char *at)
{
	double reading = expect_number(&at), value = expect_number(&at), half = expect_number(&at);
	struct line_error e = line_error_of(&own);
	double mc = own.a + own.b * reading, error = line_error_at(&e, mc);

	expect_near("moisture", mc, value, 1e-8 * fabs(value));
	expect_near("half of its interval", line_doubt_half((struct line_doubt){ error, e.df }, 0.9), half, 1e-5 * half); /* the middle goes by 0.0001 */
}

static void sum_of_readings(char *at)
{
	size_t n = (size_t)expect_number(&at);
	double error = expect_number(&at);
	struct line_sum sum = { 0 };
	char line[200];

	for (size_t i = 0; i < n; i++) {
		char *from = next_line(line, sizeof(line));
		double c = expect_number(&from);

		line_sum_add(&sum, &own, c, own.a + own.b * expect_number(&from));
	}
	expect_near("error of a sum", line_sum_doubt(&sum).error, error, 1e-5 * error + 1e-9);
	line_sum_release(&sum);
}

static void welch(char *at)
{
	struct moist_sample s = { .mean_pct = 10 };
	struct moist_assured a;
	double half;

	s.sd_pct = expect_number(&at);
	s.n = (int64_t)expect_number(&at);
	s.line_pct = expect_number(&at);
	s.line_df = expect_number(&at);
	half = expect_number(&at);
	a = moist_assures(NULL, &s, 0.9, 0.9);
	expect_near("Welch, up", a.mean_high_pct - 10, half, 1e-8);
	expect_near("Welch, down", 10 - a.mean_low_pct, half, 1e-8);
}

struct held {
	double mean, plain, above, within;
};

static double below(double x, double mean, double sd)
{
	return erfc(-(x - mean) / sd / sqrt(2)) / 2;
}

static void one_lot(int pieces, struct held *h)
{
	char line[200], *at = next_line(line, sizeof(line));
	double mean, sd, sum = 0, squares = 0;
	struct moist_sample s = { .n = pieces }, plain;
	struct line_sum lines = { 0 };
	struct moist_assured a;

	own.a = expect_number(&at);
	own.b = expect_number(&at);
	own.sd = expect_number(&at);
	own.b_error = expect_number(&at);
	own.middle = steps(expect_number(&at));
	mean = expect_number(&at);
	sd = expect_number(&at);
	for (int i = 0; i < pieces; i++) {
		char *from = next_line(line, sizeof(line));
		double mc = own.a + own.b * expect_number(&from);

		line_sum_add(&lines, &own, 1.0 / pieces, mc);
		sum += mc;
		squares += mc * mc;
	}
	s.mean_pct = sum / pieces;
	s.sd_pct = sqrt((squares - sum * sum / pieces) / (pieces - 1));
	plain = s;
	s.line_pct = line_sum_doubt(&lines).error;
	s.line_df = line_sum_doubt(&lines).df;
	s.residual_pct = sqrt(lines.residual);
	line_sum_release(&lines);
	a = moist_assures(NULL, &s, 0.9, 0.9);
	h->mean += a.mean_low_pct <= mean && mean <= a.mean_high_pct;
	h->above += below(a.above_pct, mean, sd) <= 0.1;
	h->within += below(a.high_pct, mean, sd) - below(a.low_pct, mean, sd) >= 0.9;
	a = moist_assures(NULL, &plain, 0.9, 0.9);
	h->plain += a.mean_low_pct <= mean && mean <= a.mean_high_pct;
}

static void cover(char *at)
{
	double middle;
	int pieces, sets;
	struct held h = { 0, 0, 0, 0 };

	own = (struct house_calibration){ .pairs = (int64_t)expect_number(&at), .span = { HOUSE_NONE, HOUSE_NONE } };
	pieces = (int)expect_number(&at);
	middle = expect_number(&at);
	sets = (int)expect_number(&at);
	for (int i = 0; i < sets; i++)
		one_lot(pieces, &h);
	printf("%2lld pairs, %2d pieces about %2.0f %%: the mean is held by %.1f %% (without the line's error %.1f); 90 %% lie above the limit in %.1f, within in %.1f\n",
		(long long)own.pairs, pieces, middle, 100 * h.mean / sets, 100 * h.plain / sets, 100 * h.above / sets, 100 * h.within / sets);
	expect_true("mean", h.mean / sets >= 0.85 && h.mean / sets <= 0.96);
	expect_true("above", h.above / sets >= 0.84 && h.above / sets <= 0.96);
	expect_true("within", h.within / sets >= 0.83 && h.within / sets <= 0.97);
	expect_true("without the line's error too few", pieces < 20 || middle > 9 || h.plain / sets < 0.8);
}

int main(void)
{
	char line[200];

	while (expect_line(stdin, line, sizeof(line))) {
		char *at = line;
		const char *name = expect_field(&at);

		if (!strcmp(name, "line"))
			fit_line_of((size_t)expect_number(&at));
		else if (!strcmp(name, "at"))
			at_reading(at);
		else if (!strcmp(name, "sum"))
			sum_of_readings(at);
		else if (!strcmp(name, "welch"))
			welch(at);
		else
			cover(at);
	}
	return expect_verdict(65);
}
