/*
 * emc DATA - EMC against published tables. DATA is the folder of data files.
 *  Wood Handbook FPL-GTR-190 (2010), Table 4-2: every cell within 0.056 (the table is rounded to 0.1).
 *  Wood Handbook FPL-GTR-282 (2021), equation 4-5, computed elsewhere in R.
 *  Oracle for the equation as printed: the Fahrenheit set of the same handbook.
 */
#include "wood/climate.h"
#include "expect.h"

enum { COLUMNS = 19, CELLS = 342 };

static double from_f(double f)
{
	return (f - 32) * 5 / 9;
}

static void table_row(char *at, const double *rh)
{
	double temp_f = expect_number(&at);
	char what[64];

	expect_field(&at);
	for (int i = 0; i < COLUMNS; i++) {
		snprintf(what, sizeof(what), "table 4-2, %g F, %g %%", temp_f, rh[i]);
		expect_near(what, emc_pct(from_f(temp_f), rh[i]), expect_number(&at), 0.056);
	}
}

static void table_4_2(const char *path)
{
	FILE *f = expect_open(path);
	char line[512], *at = line;
	double rh[COLUMNS];
	int before = expect_checked;

	expect_line(f, line, sizeof(line));
	expect_field(&at);
	expect_field(&at);
	for (int i = 0; i < COLUMNS; i++)
		rh[i] = expect_number(&at);
	while (expect_line(f, line, sizeof(line)))
		table_row(line, rh);
	fclose(f);
	expect_true("table 4-2 has 342 cells", expect_checked - before == CELLS);
}

/* emc_wh45 at "T=5C RH=0.3", rh_for_emc at "T=10C EMC=8" (the answer a fraction). */
static void check_row(char *at)
{
	const char *name = expect_field(&at), *inputs = expect_field(&at);
	double want = expect_number(&at), tol = expect_number(&at), temp, arg;

	if (!strcmp(name, "emc_wh45") && sscanf(inputs, "T=%lfC RH=%lf", &temp, &arg) == 2)
		expect_near(inputs, emc_pct(temp, arg * 100), want, tol);
	if (!strcmp(name, "rh_for_emc") && sscanf(inputs, "T=%lfC EMC=%lf", &temp, &arg) == 2)
		expect_near(inputs, rh_for_emc_pct(temp, arg) / 100, want, tol);
}

static void check_values(const char *path)
{
	FILE *f = expect_open(path);
	char line[512];

	while (expect_line(f, line, sizeof(line)))
		check_row(line);
	fclose(f);
}

/* Computed from the Celsius set, to the four or one decimals printed here. */
static void worked_values(void)
{
	static const struct { double temp_c, rh_pct, emc_pct; } emc[] = {
		{ 20, 30, 6.1882 }, { 20, 40, 7.7224 }, { 20, 50, 9.2711 }, { 20, 55, 10.1013 },
		{ 20, 60, 10.9998 }, { 20, 75, 14.4509 }, { 20, 90, 20.5311 }, { 10, 80, 16.3822 },
		{ 5, 85, 18.4695 }, { 30, 60, 10.6397 }, { 40, 50, 8.5872 }, { 60, 30, 5.0225 },
	};
	static const struct { double temp_c, emc_pct, rh_pct; } rh[] = {
		{ 20, 8, 41.8 }, { 20, 9, 48.3 }, { 20, 10, 54.4 }, { 20, 11, 60.0 }, { 20, 12, 65.0 },
		{ 40, 8, 46.0 }, { 40, 10, 58.9 },
	};

	for (size_t i = 0; i < sizeof(emc) / sizeof(*emc); i++)
		expect_near("worked EMC", emc_pct(emc[i].temp_c, emc[i].rh_pct), emc[i].emc_pct, 0.00005);
	for (size_t i = 0; i < sizeof(rh) / sizeof(*rh); i++)
		expect_near("worked RH", rh_for_emc_pct(rh[i].temp_c, rh[i].emc_pct), rh[i].rh_pct, 0.05);
	expect_near("20 C, 55 %, to six decimals", emc_pct(20, 55), 10.101296, 5e-7);
	expect_near("EMC 9 at 20 C, to six decimals", rh_for_emc_pct(20, 9), 48.299652, 5e-7);
}

/* Equation 4-5 as the handbook prints it, with its Fahrenheit set. */
static double printed_fahrenheit(double t, double rh_pct)
{
	double w = 330 + 0.452 * t + 0.00415 * t * t;
	double k = 0.791 + 0.000463 * t - 0.000000844 * t * t;
	double k1 = 6.34 + 0.000775 * t - 0.0000935 * t * t;
	double k2 = 1.09 + 0.0284 * t - 0.0000904 * t * t;
	double x = k * rh_pct / 100;

	return 1800 / w * (x / (1 - x) + (k1 * x + 2 * k1 * k2 * x * x) / (1 + k1 * x + k1 * k2 * x * x));
}

/* The two printed sets are rounded apart: 0.08 at the most over the range of a yard and a kiln. */
static void both_sets_agree(void)
{
	for (double f = 30; f <= 200; f += 10)
		for (double rh = 5; rh <= 95; rh += 5)
			expect_near("Celsius set beside Fahrenheit set", emc_pct(from_f(f), rh),
				printed_fahrenheit(f, rh), 0.08);
}

int main(int argc, char **argv)
{
	char path[1024];

	if (argc != 2)
		return 2;
	snprintf(path, sizeof(path), "%s/emc_table_4-2.tsv", argv[1]);
	table_4_2(path);
	snprintf(path, sizeof(path), "%s/check_values.tsv", argv[1]);
	check_values(path);
	worked_values();
	both_sets_agree();
	return expect_verdict(794);
}
