/*
 * check.h - what a unit test is made of. Include it once, in the test's only file.
 *
 * Each CHECK says file, line, what was expected and what came, and the test goes on.
 * A main ends with `return check_end();`: 0 when all held, 1 when one did not or none was made.
 * Each argument is evaluated once. Texts of bytes are shown with escapes.
 *
 *	CHECK(date_read(SLICE("2026-02-28"), &day) == DATE_OK);
 *	CHECK_INT(utf8_width(SLICE("willow")), 6);
 *	CHECK_TEXT(buf_slice(&out), "lot\tcount\n");
 *	CHECK_NEAR(emc_pct, 10.1013, 0.00005);
 *
 * In a loop over cases, CHECK_CASE(i) before the checks has failures name the case.
 */
#ifndef WITHY_CHECK_H
#define WITHY_CHECK_H

#include <stdbool.h>
#include <stdint.h>
#include <stdio.h>
#include <string.h>

#include "base/text.h"

static struct {
	unsigned long made, failed;
	long at; /* the case of a table, or -1 */
} check_count = { 0, 0, -1 };

#define CHECK(what) (check_that((what), __FILE__, __LINE__, #what))
#define CHECK_INT(got, want) check_int((int64_t)(got), (int64_t)(want), __FILE__, __LINE__, #got)
#define CHECK_TEXT(got, want) check_text((got), slice_of(want), __FILE__, __LINE__, #got)
#define CHECK_SLICE(got, want) check_text((got), (want), __FILE__, __LINE__, #got)
#define CHECK_NEAR(got, want, within) check_near((got), (want), (within), __FILE__, __LINE__, #got)
#define CHECK_CASE(i) (check_count.at = (long)(i))

static inline bool check_that(bool held, const char *file, int line, const char *what)
{
	check_count.made++;
	if (held)
		return true;
	check_count.failed++;
	printf("%s:%d: ", file, line);
	if (check_count.at >= 0)
		printf("case %ld: ", check_count.at);
	printf("failed: %s\n", what);
	return false;
}

static inline void check_int(int64_t got, int64_t want, const char *file, int line, const char *what)
{
	if (!check_that(got == want, file, line, what))
		printf("\tgot %lld, want %lld\n", (long long)got, (long long)want);
}

/* The check also fails when one of the values is not a number. */
static inline void check_near(double got, double want, double within, const char *file, int line, const char *what)
{
	double off = got > want ? got - want : want - got;

	if (!check_that(off <= within, file, line, what))
		printf("\tgot %.17g, want %.17g within %g\n", got, want, within);
}

static inline void check_show(const char *label, struct slice s)
{
	printf("\t%s \"", label);
	for (size_t i = 0; i < s.n; i++) {
		unsigned char c = (unsigned char)s.p[i];

		if (c == '\n')
			fputs("\\n", stdout);
		else if (c == '"' || c == '\\')
			printf("\\%c", c);
		else if (c >= 0x20 && c < 0x7f)
			putchar(c);
		else
			printf("\\x%02x", c);
	}
	printf("\" (%zu bytes)\n", s.n);
}

static inline void check_text(struct slice got, struct slice want, const char *file, int line, const char *what)
{
	if (check_that(slice_eq(got, want), file, line, what))
		return;
	check_show("got ", got);
	check_show("want", want);
}

static inline int check_end(void)
{
	if (!check_count.made)
		printf("no check was made\n");
	else if (check_count.failed)
		printf("%lu of %lu checks failed\n", check_count.failed, check_count.made);
	return check_count.failed || !check_count.made;
}

#endif
