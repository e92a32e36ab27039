/*
 * grade_shift - shares of grades that hold together, their shift, and a grader's drift, beside R's own figures (grade_shift.R,
 * on standard input) and beside published examples.
 */
#include <stdbool.h>
#include <stdint.h>

#include "math/distributions.h"
#include "math/mix_shift.h"
#include "math/stats.h"
#include "math/stratified_shift.h"
#include "expect.h"

enum { MOST = 100 };

/* ---- published */

/*
 * Goodman's (1965, Technometrics 7, 247) intervals of seven shares that hold together at 95 %: the counts of Sison and Glaz (1995, J. Am.
 * Statist. Assoc. 90, 366), with the intervals that May and Johnson (2000, J. Statist. Software 5(6)) print to three places.
 */
static void goodman(void)
{
	static const int64_t COUNT[] = { 56, 72, 73, 59, 62, 87, 58 };
	static const double LOW[] = { 0.085, 0.115, 0.116, 0.091, 0.096, 0.143, 0.089 }, HIGH[] = { 0.166, 0.204, 0.207, 0.173, 0.181, 0.239, 0.171 };

	for (int i = 0; i < 7; i++) {
		double low, high;

		wilson_share((double)COUNT[i] / 467, 467, dist_normal_q(1 - 0.025 / 7), &low, &high);
		expect_near("Goodman, low", low, LOW[i], 5.1e-4);
		expect_near("Goodman, high", high, HIGH[i], 5.1e-4);
	}
}

/*
 * Agresti (2007), An Introduction to Categorical Data Analysis, 2nd edition, tables 2.5 and 2.6: women and men by party;
 * chi-squared 30.1 with 2 degrees of freedom, and its standardized residuals (from memory).
 */
static void parties(void)
{
	static const double RESIDUAL[] = { 4.50, 0.70, -5.32 };
	struct mix_part part[] = { { 762, 484, 1, 1, 0 }, { 327, 239, 1, 1, 0 }, { 468, 477, 1, 1, 0 } };
	struct mix_shift s = mix_shift_of(part, 3, 0);

	expect_near("parties, chi-squared", s.chi2, 30.1, 0.05);
	expect_near("parties, degrees", s.df, 2, 0);
	for (int i = 0; i < 3; i++)
		expect_near("parties, residual", part[i].residual, RESIDUAL[i], 0.005);
}

/* ---- beside R */

static size_t read_parts(char **at, struct mix_part *part)
{
	size_t k = (size_t)expect_number(at);

	for (size_t i = 0; i < k; i++)
		part[i] = (struct mix_part){ .a = (int64_t)expect_number(at), .design_a = 1, .design_b = 1 };
	for (size_t i = 0; i < k; i++)
		part[i].b = (int64_t)expect_number(at);
	return k;
}

static void chi2(char *at)
{
	struct mix_part part[MOST];
	size_t k = read_parts(&at, part);
	struct mix_shift s = mix_shift_of(part, k, 0);

	expect_near("chi-squared", s.chi2, expect_number(&at), 1e-9 * (1 + s.chi2));
	expect_near("its p", s.p, expect_number(&at), 1e-10);
	expect_true("by the distribution", s.method == MIX_BY_CHI2);
	for (size_t i = 0; i < k; i++)
		expect_near("residual", part[i].residual, expect_number(&at), 1e-9);
}

/* Within five standard errors of the exact chance, as R's own trials are. */
static void trials(char *at)
{
	struct mix_part part[MOST];
	size_t k = read_parts(&at, part);
	struct mix_shift s = mix_shift_of(part, k, 0), again = mix_shift_of(part, k, 0);
	double exact = expect_number(&at), of_r = expect_number(&at), error = sqrt(exact * (1 - exact) / MIX_SHIFT_TRIALS) + 1.0 / MIX_SHIFT_TRIALS;

	expect_true("by trials", s.method == MIX_BY_TRIALS);
	expect_near("p of trials", s.p, exact, 5 * error);
	expect_near("p of R's trials", of_r, exact, 5 * error);
	expect_true("the same again", s.p == again.p);
}

static void fisher(char *at)
{
	double x = expect_number(&at), a = expect_number(&at), b = expect_number(&at);

	expect_near("F", dist_f_upper_p(x, a, b), expect_number(&at), 1e-12);
}

static void read_lots(char **at, struct stratified_lot *lot, size_t n)
{
	for (size_t i = 0; i < n; i++) {
		lot[i].stratum = (uint32_t)expect_number(at);
		lot[i].after = expect_number(at) > 0;
		lot[i].n = (int64_t)expect_number(at);
		lot[i].sum = expect_number(at);
		lot[i].squares = expect_number(at);
	}
}

/* What the correlation makes of the variance, written out from its definition. */
static double design_of(const struct stratified_lot *lot, size_t n, double correlation)
{
	double variance = 0, plain = 0;

	for (size_t i = 0; i < n; i++) {
		double own = 0, other = 0;

		for (size_t j = 0; j < n; j++)
			if (lot[j].stratum == lot[i].stratum)
				*(lot[j].after == lot[i].after ? &own : &other) += (double)lot[j].n;
		plain += (double)lot[i].n * other * other / ((own + other) * (own + other));
		variance += (double)lot[i].n * (1 + (double)(lot[i].n - 1) * correlation) * other * other / ((own + other) * (own + other));
	}
	return variance / plain;
}

static void shift(char *at)
{
	struct stratified_lot lot[MOST];
	size_t n = (size_t)expect_number(&at);
	struct stratified_shift s;
	double z, p, design;

	read_lots(&at, lot, n);
	s = stratified_shift_of(lot, n);
	z = expect_number(&at);
	p = expect_number(&at);
	design = design_of(lot, n, expect_number(&at));
	expect_near("z without the design", fabs(s.z) * sqrt(s.design), z, 1e-8);
	expect_near("its p", dist_chi2_upper_p(s.z * s.z * s.design, 1), p, 1e-8);
	expect_near("the design", s.design, s.known ? design : 1, 1e-8 * design);
}

static void null(char *at)
{
	int books = (int)expect_number(&at), false_ones = 0, plain = 0;
	size_t n = (size_t)expect_number(&at);
	struct stratified_lot lot[MOST];
	static char line[20000];

	for (int i = 0; i < books && expect_line(stdin, line, sizeof line); i++) {
		struct stratified_shift s;

		at = line;
		expect_field(&at);
		read_lots(&at, lot, n);
		s = stratified_shift_of(lot, n);
		false_ones += s.p < 0.05;
		plain += dist_chi2_upper_p(s.z * s.z * s.design, 1) < 0.05;
	}
	printf("graders who do not change: %.1f %% are found to; %.1f %% if lots were passed over\n", 100.0 * false_ones / books, 100.0 * plain / books);
	expect_true("about one of twenty or fewer", false_ones < 0.085 * books);
}

int main(void)
{
	static char line[20000];

	goodman();
	parties();
	while (expect_line(stdin, line, sizeof line)) {
		char *at = line;
		const char *name = expect_field(&at);

		if (!strcmp(name, "chi2"))
			chi2(at);
		else if (!strcmp(name, "trials"))
			trials(at);
		else if (!strcmp(name, "f"))
			fisher(at);
		else if (!strcmp(name, "shift"))
			shift(at);
		else
			null(at);
	}
	return expect_verdict(300);
}
