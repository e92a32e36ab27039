/*
 * kaplan_meier - kaplan_meier.h beside what kaplan_meier.R computes with survfit(), and published results.
 */
#include "math/kaplan_meier.h"
#include "math/stats.h"
#include "expect.h"

enum { MOST = 400 };

static const char *fit_name;

/* "name, what" */
static const char *of(const char *what)
{
	static char text[80];

	snprintf(text, sizeof text, "%s, %s", fit_name, what);
	return text;
}

/* Both may be missing: NA there, NAN here. */
static void same_day(const char *what, double got, double want)
{
	if (isnan(want))
		expect_true(of(what), isnan(got));
	else
		expect_near(of(what), got, want, 1e-9);
}

static double number_or_nan(char **at)
{
	const char *text = expect_field(at);

	return strcmp(text, "NA") == 0 || strcmp(text, "NaN") == 0 ? NAN : strtod(text, NULL);
}

static size_t read_cases(struct km_case *list, size_t n)
{
	char line[200];
	size_t i;

	for (i = 0; i < n && i < MOST && expect_line(stdin, line, sizeof(line)); i++) {
		char *at = line;

		list[i].from = (int32_t)expect_number(&at);
		list[i].to = (int32_t)expect_number(&at);
		list[i].ended = expect_number(&at) != 0;
		list[i].batch = (int32_t)expect_number(&at);
		list[i].n = (int64_t)expect_number(&at);
	}
	return i;
}

static void check_step(const struct km_step *step, char *at)
{
	double day = expect_number(&at), at_risk = expect_number(&at), ended = expect_number(&at), share = expect_number(&at);
	double error = number_or_nan(&at), want_low = number_or_nan(&at), want_high = number_or_nan(&at), low, high;

	expect_near(of("day"), step->day, day, 0);
	expect_near(of("at risk"), (double)step->at_risk, at_risk, 0);
	expect_near(of("ended"), (double)step->ended, ended, 0);
	expect_near(of("share"), step->share, share, 1e-10);
	if (share < 1e-12)
		return;
	expect_near(of("error"), step->error, error, 1e-9);
	km_share_interval(step, NORMAL_975, &low, &high);
	expect_near(of("low"), low, want_low, 1e-9);
	expect_near(of("high"), high, want_high, 1e-9);
}

/* Freireich's data: shares and errors as printed in many textbooks (Kleinbaum and Klein, Survival Analysis; from memory) */
static void check_published(const struct kaplan_meier *km)
{
	static const double SHARE[] = { 0.8571, 0.8067, 0.7529, 0.6902, 0.6275, 0.5378, 0.4482 }, ERROR[] = { 0.0764, 0.0869, 0.0963, 0.1068, 0.1141, 0.1282, 0.1346 };
	static const double FIRST[] = { 0.875, 0.7, 0.525, 0.2625 };

	if (!strcmp(fit_name, "6-MP")) {
		for (size_t i = 0; i < 7; i++) {
			expect_near("remission, share", km->step[i].share, SHARE[i], 0.00005);
			expect_near("remission, error", km->step[i].error, ERROR[i], 0.00005);
		}
		expect_near("remission, median", km_day(km, 0.5), 23, 0);
	} else if (!strcmp(fit_name, "placebo")) {
		expect_near("placebo, median", km_day(km, 0.5), 8, 0);
	} else if (!strcmp(fit_name, "1958")) {
		for (size_t i = 0; i < 4; i++)
			expect_near("1958, share", km->step[i].share, FIRST[i], 1e-12);
	}
}

static void check_fit(char *at)
{
	char name[40], line[200];
	struct km_case list[MOST];
	struct kaplan_meier km;
	size_t ncases, nsteps;
	double want[6], low, high;

	snprintf(name, sizeof name, "%s", expect_field(&at));
	fit_name = name;
	ncases = (size_t)expect_number(&at);
	nsteps = (size_t)expect_number(&at);
	for (int i = 0; i < 6; i++)
		want[i] = number_or_nan(&at);
	kaplan_meier_of(&km, list, read_cases(list, ncases));
	expect_near(of("steps"), (double)km.n, (double)nsteps, 0);
	for (size_t i = 0; i < nsteps && i < km.n && expect_line(stdin, line, sizeof(line)); i++)
		check_step(&km.step[i], line);
	for (int i = 0; i < 2; i++) {
		same_day("day", km_day(&km, i ? 0.9 : 0.5), want[3 * i]);
		km_day_interval(&km, i ? 0.9 : 0.5, NORMAL_975, &low, &high);
		same_day("low day", low, want[3 * i + 1]);
		same_day("high day", high, want[3 * i + 2]);
	}
	check_published(&km);
	kaplan_meier_release(&km);
}

int main(void)
{
	char line[200];

	while (expect_line(stdin, line, sizeof(line))) {
		char *at = line;

		if (!strcmp(expect_field(&at), "fit"))
			check_fit(at);
	}
	return expect_verdict(900);
}
