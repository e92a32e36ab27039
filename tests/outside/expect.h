/*
 * expect.h - for the checks against outside values: reading a table, comparing, the verdict.
 * Each check is its own executable; it names its source, prints each miss, and exits 1 if any.
 */
#ifndef WITHY_EXPECT_H
#define WITHY_EXPECT_H

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int expect_checked, expect_missed;

/* `got` within `tol` of `want`; a NAN never is. */
static inline void expect_near(const char *what, double got, double want, double tol)
{
	expect_checked++;
	if (fabs(got - want) <= tol)
		return;
	expect_missed++;
	printf("%s: got %.15g, want %.15g within %.3g\n", what, got, want, tol);
}

static inline void expect_true(const char *what, int holds)
{
	expect_checked++;
	if (holds)
		return;
	expect_missed++;
	printf("%s: does not hold\n", what);
}

/* How many significant digits agree: NIST's log relative error; 16 for equal. */
static inline double expect_digits(double got, double want)
{
	double error = want == 0 ? fabs(got) : fabs(got - want) / fabs(want);

	return error == 0 ? 16 : fmin(16, -log10(error));
}

static inline int expect_verdict(int at_least)
{
	if (expect_checked < at_least) {
		printf("only %d values were checked, of at least %d\n", expect_checked, at_least);
		expect_missed++;
	}
	printf("%d checked, %d missed\n", expect_checked, expect_missed);
	return expect_missed ? 1 : 0;
}

static inline FILE *expect_open(const char *path)
{
	FILE *f = fopen(path, "r");

	if (!f) {
		perror(path);
		exit(1);
	}
	return f;
}

/* The next line that is no remark, without its line end; 0 at the end. */
static inline int expect_line(FILE *f, char *line, int size)
{
	do {
		if (!fgets(line, size, f))
			return 0;
	} while (line[0] == '#');
	line[strcspn(line, "\r\n")] = '\0';
	return 1;
}

/* Cuts the next tab-separated field off `*at`; "" when there is none. */
static inline char *expect_field(char **at)
{
	char *field = *at;
	size_t n = strcspn(field, "\t");

	*at = field[n] ? field + n + 1 : field + n;
	field[n] = '\0';
	return field;
}

static inline double expect_number(char **at)
{
	char *field = expect_field(at), *end;
	double value = strtod(field, &end);

	return *field && !*end ? value : NAN;
}

#endif
