/*
 * weigh DATA - the statistics of wy-weigh beside R's own (weigh.R, on standard input) and beside the certified analysis of
 * variance of NIST's Statistical Reference Datasets Norris and Pontius, in DATA.
 */
#include <stdbool.h>

#include "base/intern.h"
#include "math/prediction.h"
#include "weigh/blanks.h"
#include "weigh/line_checks.h"
#include "weigh/scale_drift.h"
#include "weigh/weigh_book.h"
#include "expect.h"

enum { MOST = 2000, ROWS = 100 };

static double number[MOST];
static size_t at;

static double next(void)
{
	return at < MOST ? number[at++] : NAN;
}

static const double *next_of(size_t n)
{
	at += n;
	return number + at - n;
}

static void alike(const char *what, double got, double want, double relative)
{
	expect_near(what, got, want, relative * fabs(want) + 1e-14);
}

/* ---- NIST */

struct set {
	double y[ROWS], x[ROWS], sd, f;
	size_t n;
};

static struct set read_set(const char *folder, const char *name)
{
	struct set s = { .n = 0, .sd = NAN, .f = NAN };
	char path[1024], line[256];
	double sums, squares;
	FILE *f;

	snprintf(path, sizeof path, "%s/strd/%s.dat", folder, name);
	f = expect_open(path);
	for (int i = 1; expect_line(f, line, sizeof line); i++) {
		if (strstr(line, "Standard Deviation   ") && isnan(s.sd))
			sscanf(strstr(line, "Deviation") + 9, "%lf", &s.sd);
		if (strncmp(line, "Regression", 10) == 0 && isnan(s.f))
			sscanf(line + 10, "%*d %lf %lf %lf", &sums, &squares, &s.f);
		if (i > 60 && s.n < ROWS && sscanf(line, "%lf %lf", &s.y[s.n], &s.x[s.n]) == 2)
			s.n++;
	}
	fclose(f);
	return s;
}

/* Pontius is a parabola, whose certified F is of both its terms together. */
static void certified(const char *folder, const char *name, size_t powers)
{
	struct set s = read_set(folder, name);
	double x[ROWS * 3], one[ROWS];
	struct fit flat, fit;
	struct fit_gain gain;

	for (size_t i = 0; i < s.n; i++) {
		one[i] = 1;
		for (size_t k = 0; k < powers; k++)
			x[i * powers + k] = pow(s.x[i], (double)k);
	}
	fit_line(one, s.y, s.n, 1, &flat);
	fit_line(x, s.y, s.n, powers, &fit);
	gain = fit_gain_of(&flat, &fit);
	printf("%s: digits of the residual deviation %.1f, of F %.1f\n", name, expect_digits(fit.sd, s.sd), expect_digits(gain.f, s.f));
	expect_true("the deviation to nine digits", expect_digits(fit.sd, s.sd) >= 9);
	expect_true("F to nine digits", expect_digits(gain.f, s.f) >= 9);
}

/* ---- one line */

static void against_line(void)
{
	size_t n = (size_t)next();
	const double *x = next_of(n), *y = next_of(n);
	double x0[2] = { 1, next() }, sure = next(), low = next(), high = next(), rows[2 * MOST];
	struct prediction p;
	struct fit fit;

	for (size_t i = 0; i < n; i++) {
		rows[2 * i] = 1;
		rows[2 * i + 1] = x[i];
	}
	fit_line(rows, y, n, 2, &fit);
	p = prediction_at(&fit, x0);
	alike("the value", p.value, next(), 1e-9);
	alike("the low end", prediction_bound(&p, (1 - sure) / 2), next(), 1e-8);
	alike("the high end", prediction_bound(&p, (1 + sure) / 2), next(), 1e-8);
	alike("the low end of the line", prediction_line_bound(&p, (1 - sure) / 2), next(), 1e-8);
	alike("the high end of the line", prediction_line_bound(&p, (1 + sure) / 2), next(), 1e-8);
	alike("the error of the line", p.line_error, next(), 1e-7);
	expect_near("the chance", prediction_chance(&p, low, high), next(), 1e-8);
	for (size_t i = 0; i < n; i++)
		alike("leverage", fit_residual_at(&fit, rows + 2 * i, y[i]).leverage, next(), 1e-7);
	for (size_t i = 0; i < n; i++) {
		double deleted = fit_residual_at(&fit, rows + 2 * i, y[i]).deleted, want = next();

		if (n > 3)
			expect_near("deleted residual", deleted, want, 1e-6 * (1 + fabs(want)));
	}
}

/* ---- lines of groups */

/* Bats and blanks of pairs that are made up. */
static struct mass_pair row[MOST];
static struct weigh_finished bat[MOST];
static struct blank blank[MOST];

static struct mass_pairs made_pairs(size_t n, const double *group, const double *x, const double *y)
{
	for (size_t i = 0; i < n; i++) {
		bat[i] = (struct weigh_finished){ .length_mm = NAN, .width_mm = NAN, .depth_mm = NAN, .edge_mm = NAN };
		blank[i] = (struct blank){ .mc_pct = NAN };
		row[i] = (struct mass_pair){ .blank = &blank[i], .bat = &bat[i], .key = { group ? (uint32_t)group[i] : 1 }, .blank_g = x[i],
			.finished_g = y[i] };
	}
	return (struct mass_pairs){ .row = row, .n = n };
}

static struct intern ids;

static void against_covariance(void)
{
	size_t n = (size_t)next(), k = (size_t)next();
	const double *g = next_of(n), *x = next_of(n), *y = next_of(n);
	struct mass_pairs pairs = made_pairs(n, g, x, y);
	struct line_checks checks;
	struct mass_lines m;

	mass_lines_find(&m, &pairs, MASS_BY_TYPE, NULL, &ids);
	alike("F of slopes", m.slopes.f, next(), 1e-7);
	alike("p of slopes", m.slopes.p, next(), 1e-6);
	alike("F of levels", m.levels.f, next(), 1e-7);
	alike("p of levels", m.levels.p, next(), 1e-6);
	expect_near("the model", m.model, next(), 0);
	for (uint32_t j = 1; j <= k; j++) {
		struct prediction p;

		mass_lines_at(&m, j, 1500, &p);
		alike("a group's value", p.value, next(), 1e-9);
		alike("a group's low end", prediction_bound(&p, 0.05), next(), 1e-8);
		alike("a group's high end", prediction_bound(&p, 0.95), next(), 1e-8);
	}
	line_checks_find(&checks, &m, &pairs, 0.9);
	for (size_t i = 0; i < n; i++)
		expect_near("a group's residual", checks.residual[i].off.deleted, next(), 1e-6);
	expect_near("bats in their ranges", (double)checks.held, next(), 0);
	alike("the furthest", checks.furthest_p, next(), 1e-6);
	line_checks_release(&checks);
	mass_lines_release(&m);
}

/* ---- checks of the residuals */

static const struct line_check *check_of(const struct line_checks *c, const char *what)
{
	for (size_t i = 0; i < c->n; i++)
		if (strcmp(c->row[i].what, what) == 0)
			return &c->row[i];
	printf("no check of %s\n", what);
	exit(1);
}

static void against_checks(void)
{
	static const char *const WHAT[] = { "depth", "edge", "day of finishing", "blank, squared", "person who finished it", "spread by mass" };
	size_t n = (size_t)next();
	const double *x = next_of(n), *y = next_of(n), *depth = next_of(n), *edge = next_of(n), *day = next_of(n), *by = next_of(n);
	struct mass_pairs pairs = made_pairs(n, NULL, x, y);
	struct line_checks checks;
	struct mass_lines m;

	for (size_t i = 0; i < n; i++) {
		bat[i].depth_mm = depth[i];
		bat[i].edge_mm = edge[i];
		bat[i].by = (uint32_t)by[i];
		bat[i].when.day = (int32_t)day[i];
	}
	mass_lines_find(&m, &pairs, MASS_BY_TYPE, NULL, &ids);
	line_checks_find(&checks, &m, &pairs, 0.9);
	for (size_t i = 0; i < sizeof WHAT / sizeof *WHAT; i++)
		alike(WHAT[i], check_of(&checks, WHAT[i])->p, next(), 1e-6);
	alike("the effect of the depth", check_of(&checks, "depth")->effect, next(), 1e-7);
	alike("its error", check_of(&checks, "depth")->error, next(), 1e-7);
	line_checks_release(&checks);
	mass_lines_release(&m);
}

/* ---- drift */

static void against_drift(void)
{
	size_t n = (size_t)next();
	const double *day = next_of(n), *error = next_of(n);
	struct weigh_check check[ROWS] = { { .balance = 0 } };
	struct weigh_book book = { .check = check, .nchecks = n };
	struct scale_drift drift;
	const struct scale_row *r;

	for (size_t i = 0; i < n; i++)
		check[i] = (struct weigh_check){ .name = SLICE("s"), .balance = 1, .when = { .day = (int32_t)day[i] }, .is = 10000000,
			.read = 10000000 + (int64_t)nearbyint(error[i] * 10000) };
	scale_drift_find(&drift, &book, (int32_t)next(), 0.95);
	r = drift.row;
	expect_near("one row", (double)drift.n, 1, 0);
	expect_near("mean error", r->mean_g, next(), 1e-12);
	expect_near("sd", r->sd_g, next(), 1e-12);
	expect_near("drift", r->year_g, next(), 1e-9);
	expect_near("drift, low", r->year_low_g, next(), 1e-8);
	expect_near("drift, high", r->year_high_g, next(), 1e-8);
	alike("drift, p", r->p, next(), 1e-6);
	expect_near("now", r->now_g, next(), 1e-9);
	expect_near("now, low", r->now_low_g, next(), 1e-8);
	expect_near("now, high", r->now_high_g, next(), 1e-8);
	scale_drift_release(&drift);
}

static void against(const char *name, char *fields)
{
	size_t n = 0;

	while (*fields && n < MOST)
		number[n++] = expect_number(&fields);
	at = 0;
	if (strcmp(name, "line") == 0)
		against_line();
	else if (strcmp(name, "covariance") == 0)
		against_covariance();
	else if (strcmp(name, "checks") == 0)
		against_checks();
	else
		against_drift();
	expect_near("every number was compared", (double)at, (double)n, 0);
}

int main(int argc, char **argv)
{
	static char line[60000];

	if (argc != 2)
		return 2;
	intern_init(&ids);
	for (int i = 1; i < 9; i++)
		intern_id(&ids, (struct slice){ &"12345678"[i - 1], 1 });
	certified(argv[1], "Norris", 2);
	certified(argv[1], "Pontius", 3);
	while (expect_line(stdin, line, sizeof line)) {
		char *rest = line, *name = expect_field(&rest);

		against(name, rest);
	}
	intern_release(&ids);
	return expect_verdict(5000);
}
