/*
 * strd DATA - means and standard deviations against NIST's Statistical Reference Datasets
 * (univariate; certified to 15 digits), largest remainders, Wilson intervals.
 * DATA is the folder of data files.
 *
 * The readings are taken as what they are, decimals of a fixed unit, and summed exactly, so
 * that even NumAcc3 and NumAcc4, which double arithmetic spoils (9 and 8 digits at best by two
 * passes), reach the certified values to 15 digits.
 */
#include "math/stats.h"
#include "expect.h"

/* A decimal in units of 10^-places, exactly. */
static int64_t fixed_decimal(const char *text, int places)
{
	int64_t value = 0, sign = 1;
	int after = -1;

	for (text += strspn(text, " "); *text && *text != ' '; text++) {
		if (*text == '-')
			sign = -1;
		else if (*text == '.')
			after = 0;
		else {
			value = value * 10 + (*text - '0');
			after += after >= 0;
		}
	}
	for (after = after < 0 ? 0 : after; after < places; after++)
		value *= 10;
	return sign * value;
}

static double after_colon(const char *line)
{
	return strtod(strrchr(line, ':') + 1, NULL);
}

/* What stands before the data: the certified mean and deviation. */
static void certified(FILE *f, double *mean, double *sd)
{
	char line[256];

	while (expect_line(f, line, sizeof(line)) && strncmp(line, "Data: Y", 7)) {
		if (!strncmp(line, "Sample Mean", 11))
			*mean = after_colon(line);
		if (!strncmp(line, "Sample Standard Deviation", 25))
			*sd = after_colon(line);
	}
	expect_line(f, line, sizeof(line)); /* dashes */
}

/* 15 digits are certified, so that a rounding of the last one can leave 14.3. */
static void report(const char *name, double mean_digits, double sd_digits)
{
	printf("%s: digits of the mean %.1f, of the deviation %.1f\n", name, mean_digits, sd_digits);
	expect_true(name, mean_digits >= 14.3);
	expect_true(name, sd_digits >= 14.3);
}

static void data_set(const char *folder, const char *name, int places)
{
	char path[1024], line[256];
	double mean = NAN, sd = NAN, scale = pow(10, places);
	struct sums part[2] = { { 0 }, { 0 } }; /* as two workers would hold them */
	FILE *f;

	snprintf(path, sizeof(path), "%s/strd/%s.dat", folder, name);
	f = expect_open(path);
	certified(f, &mean, &sd);
	for (size_t i = 0; expect_line(f, line, sizeof(line)); i++)
		if (line[strspn(line, " ")])
			sums_add(&part[i % 3 == 0], fixed_decimal(line, places));
	fclose(f);
	sums_merge(&part[0], &part[1]);
	report(name, expect_digits(sums_mean(&part[0], scale), mean),
		expect_digits(sums_sd(&part[0], scale), sd));
}

static void strd(const char *folder)
{
	data_set(folder, "Lottery", 0);
	data_set(folder, "Lew", 0);
	data_set(folder, "Mavro", 5);
	data_set(folder, "Michelso", 5);
	data_set(folder, "NumAcc1", 0);
	data_set(folder, "NumAcc2", 1);
	data_set(folder, "NumAcc3", 1);
	data_set(folder, "NumAcc4", 1);
}

/* wilson_lo and wilson_hi at "3/50 conf=0.95": the formula of NIST/SEMATECH 7.2.4.1. */
static void wilson_row(char *at)
{
	const char *name = expect_field(&at), *inputs = expect_field(&at);
	double want = expect_number(&at), tol = expect_number(&at), sure, low, high;
	int k, n;

	if (strncmp(name, "wilson_", 7) || sscanf(inputs, "%d/%d conf=%lf", &k, &n, &sure) != 3)
		return;
	wilson_interval(k, n, sure == 0.9 ? 1.6448536269514722 : NORMAL_975, &low, &high);
	expect_near(inputs, strcmp(name, "wilson_lo") ? high : low, want, tol);
}

static void wilson(const char *folder)
{
	char path[1024], line[512];
	double low, high;
	FILE *f;

	snprintf(path, sizeof(path), "%s/check_values.tsv", folder);
	f = expect_open(path);
	while (expect_line(f, line, sizeof(line)))
		wilson_row(line);
	fclose(f);
	wilson_interval(26, 200, 1.645, &low, &high); /* NIST 7.2.4.1, one-sided: printed 0.09577 */
	expect_near("13 % of 200, one-sided", low, 0.09577, 5e-6);
	for (int n = 1; n <= 300; n++) {
		expect_true("none starts at 0", wilson_interval(0, n, NORMAL_975, &low, &high) && low == 0);
		expect_true("all ends at 1", wilson_interval(n, n, NORMAL_975, &low, &high) && high == 1);
	}
	expect_true("0 of 0 says nothing", !wilson_interval(0, 0, NORMAL_975, &low, &high));
}

/* A published paradox of the method (one more seat, and a party loses one): so the rule is right. */
static void largest_remainder(void)
{
	static const int64_t votes[] = { 5670, 3850, 420, 60 };
	static const int64_t seats[2][4] = { { 183, 124, 14, 2 }, { 184, 125, 13, 2 } };
	int64_t share[4];

	for (int more = 0; more < 2; more++) {
		expect_true("weights serve", apportion(323 + more, votes, 4, share));
		for (int i = 0; i < 4; i++)
			expect_near("seats", (double)share[i], (double)seats[more][i], 0);
	}
}

int main(int argc, char **argv)
{
	if (argc != 2)
		return 2;
	strd(argv[1]);
	wilson(argv[1]);
	largest_remainder();
	return expect_verdict(638);
}
