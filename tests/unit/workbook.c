/*
 * workbook.c - cells of a workbook as ECMA-376 part 1 (fifth edition) describes them: names of cells
 * (18.3.1.4), number formats (18.8.30, 18.8.31), counts of days (18.17.4.1), escapes (22.4.2.4).
 */
#include <stdio.h>

#include "check.h"
#include "intake/workbook_internal.h"

static void number(const char *text, unsigned shows, bool days_1904, const char *want)
{
	struct buf out = BUF_INIT;

	CHECK(cell_add_number(slice_of(text), shows, days_1904, '.', &out));
	CHECK_TEXT(buf_slice(&out), want);
	buf_release(&out);
}

/* 18.17.4.1 gives the ends and these days of both systems; serial 60 is a day that never was. */
static void days(void)
{
	number("1", SHOWS_DAY, false, "1900-01-01");
	number("59", SHOWS_DAY, false, "1900-02-28");
	number("60", SHOWS_DAY, false, "60");
	number("61", SHOWS_DAY, false, "1900-03-01");
	number("36526", SHOWS_DAY, false, "2000-01-01");
	number("2958465", SHOWS_DAY, false, "9999-12-31");
	number("2958466", SHOWS_DAY, false, "2958466");
	number("-1", SHOWS_DAY, false, "-1");
	number("0", SHOWS_DAY, true, "1904-01-01");
	number("35064", SHOWS_DAY, true, "2000-01-01");
	number("2957003", SHOWS_DAY, true, "9999-12-31");
}

/* A fraction of a day to the nearest second: 14:00 is 0.58333..., 23:59:59.6 is the next day. */
static void moments(void)
{
	number("46182.583333333336", SHOWS_DAY | SHOWS_TIME, false, "2026-06-09 14:00:00");
	number("46182.58333", SHOWS_DAY | SHOWS_TIME, false, "2026-06-09 14:00:00");
	number("46182.999999", SHOWS_DAY | SHOWS_TIME, false, "2026-06-10 00:00:00");
	number("46182", SHOWS_DAY | SHOWS_TIME, false, "2026-06-09 00:00:00");
	number("46182.5", SHOWS_DAY, false, "2026-06-09 12:00:00");
	number("0.58333333333333337", SHOWS_TIME, false, "14:00:00");
	number("46182.25", SHOWS_TIME, false, "2026-06-09 06:00:00");
}

/* A spreadsheet keeps 15 digits; what has no more is as it is written. */
static void numbers(void)
{
	number("23.5", 0, false, "23.5");
	number("81.0", 0, false, "81.0");
	number("64.400000000000006", 0, false, "64.4");
	number("0.30000000000000004", 0, false, "0.3");
	number("123456789012345678", 0, false, "1.23456789012346e+17");
	number("1E-2", 0, false, "1E-2");
	number("0.59", SHOWS_PERCENT, false, "59%");
	number("0.805", SHOWS_PERCENT, false, "80.5%");
	for (size_t i = 0; i < 6; i++) {
		static const char *const not[] = { "", "12x", "0x10", "nan", "1e999", "1 2" };
		struct buf out = BUF_INIT;

		CHECK_CASE(i);
		CHECK(!cell_add_number(slice_of(not[i]), 0, false, '.', &out) && !out.n);
	}
	CHECK_CASE(-1);
}

static void formats(void)
{
	static const struct { const char *code; unsigned shows; } cases[] = {
		{ "General", 0 }, { "0.00", 0 }, { "#,##0.00", 0 }, { "@", 0 }, { "0.0%", SHOWS_PERCENT }, { "yyyy-mm-dd", SHOWS_DAY },
		{ "dd/mm/yy hh:mm", SHOWS_DAY | SHOWS_TIME }, { "h:mm AM/PM", SHOWS_TIME }, { "mm:ss.0", SHOWS_TIME }, { "[h]:mm:ss", SHOWS_TIME },
		{ "[mm]:ss", SHOWS_TIME }, { "mmm", SHOWS_DAY }, { "[$-409]d\\-mmm\\-yyyy h:mm A/P;@", SHOWS_DAY | SHOWS_TIME }, { "0.0 \"days\"", 0 },
		{ "[Red]0.0", 0 }, { "[Magenta][<1]0.0", 0 }, { "0\\d", 0 }, { "0_d", 0 }, { "* d", SHOWS_DAY }, { "0;yyyy", 0 }, { "\"", 0 }, { "[", 0 }, { "\\", 0 },
		{ "", 0 },
	};

	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		CHECK_CASE(i);
		CHECK_INT(format_shows(slice_of(cases[i].code)), cases[i].shows);
	}
	CHECK_CASE(-1);
	CHECK_INT(format_known(14), SHOWS_DAY);
	CHECK_INT(format_known(22), SHOWS_DAY | SHOWS_TIME);
	CHECK_INT(format_known(21), SHOWS_TIME);
	CHECK_INT(format_known(10), SHOWS_PERCENT);
	CHECK_INT(format_known(2), 0);
	CHECK_INT(format_known(48), 0);
}

static void names(void)
{
	static const struct { const char *name; uint32_t row, col; } cases[] = {
		{ "A1", 1, 1 }, { "Z9", 9, 26 }, { "AA10", 10, 27 }, { "AZ1", 1, 52 }, { "BA1", 1, 53 }, { "ZZ1", 1, 702 }, { "AAA1", 1, 703 },
		{ "XFD1048576", 1048576, 16384 },
	};
	static const char *const not[] = { "", "A", "1", "A0", "A01", "a1", "XFE1", "A1048577", "A1B", "$A$1", "AAAAAAAAAAAAAAAA1" };
	uint32_t row, col;

	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++) {
		struct buf out = BUF_INIT;

		CHECK_CASE(i);
		CHECK(workbook_cell_read(slice_of(cases[i].name), &row, &col) && row == cases[i].row && col == cases[i].col);
		workbook_cell_name(cases[i].row, cases[i].col, &out);
		CHECK_TEXT(buf_slice(&out), cases[i].name);
		buf_release(&out);
	}
	for (size_t i = 0; i < sizeof not / sizeof *not; i++) {
		CHECK_CASE(i);
		CHECK(!workbook_cell_read(slice_of(not[i]), &row, &col));
	}
	CHECK_CASE(-1);
}

static void texts(void)
{
	struct buf out = BUF_INIT;

	cell_add_text(SLICE("a_x000D_\nb_x0041__x005F_x_xD800__x00e9_"), &out);
	CHECK_TEXT(buf_slice(&out), "a  bA_x_xD800_\xc3\xa9");
	buf_release(&out);
}

int main(void)
{
	days();
	moments();
	numbers();
	formats();
	names();
	texts();
	return check_end();
}
