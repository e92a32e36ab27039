/*
 * time_format.c - dates as exports write them. The instants are worked out by hand from the calendar;
 * serial dates by ISO/IEC 29500-1, 18.17.4.1 (from memory: serial 1 is 1900-01-01, and 0 is
 * 1904-01-01 in the other system; the first system counts a 1900-02-29 that was not).
 */
#include <stdio.h>

#include "base/text.h"
#include "time/calendar.h"
#include "time/time_format.h"

static int failures;

struct row {
	const char *form, *text;
	int year, month, day, second;
	int offset;              /* minutes, or NONE */
};

enum { NONE = 9999, HOUR = 3600, MINUTE = 60 };

static const struct row good[] = {
	{ "YYYY-MM-DD hh:mm", "2026-06-09 14:05", 2026, 6, 9, 14 * HOUR + 5 * MINUTE, NONE },
	{ "YYYY-MM-DD hh:mm", "2026-6-9  4:5", 2026, 6, 9, 4 * HOUR + 5 * MINUTE, NONE },
	{ "YYYY-MM-DDThh:mm:ssOFFSET", "2026-06-09T14:05:06Z", 2026, 6, 9, 14 * HOUR + 306, 0 },
	{ "YYYY-MM-DDThh:mm:ssOFFSET", "2026-06-09T14:05:06.250+12:45", 2026, 6, 9, 14 * HOUR + 306, 765 },
	{ "YYYY-MM-DD hh:mm OFFSET", "2026-06-09 14:05 GMT-3", 2026, 6, 9, 14 * HOUR + 300, -180 },
	{ "YYYY-MM-DD hh:mmOFFSET", "2026-06-09 14:05UTC", 2026, 6, 9, 14 * HOUR + 300, 0 },
	{ "DD.MM.YYYY hh:mm:ss", "09.06.2026 14:05:06", 2026, 6, 9, 14 * HOUR + 306, NONE },
	{ "DD.MM.YYYY hh:mm:ss", "9.6.2026\xc2\xa0" "14:05:06,5", 2026, 6, 9, 14 * HOUR + 306, NONE },
	{ "MM/DD/YY hh:mm:ss HALF", "06/09/26 02:05:06 PM", 2026, 6, 9, 14 * HOUR + 306, NONE },
	{ "MM/DD/YY hh:mm HALF", "06/09/26 12:05 am", 2026, 6, 9, 300, NONE },
	{ "MM/DD/YY hh:mm HALF", "06/09/26 12:05 p.m.", 2026, 6, 9, 12 * HOUR + 300, NONE },
	{ "MM/DD/YY hh:mm HALF", "06/09/26 2:05PM", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "MM/DD/YY hh:mmHALF", "06/09/26 2:05p", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "MM/DD/YY hh:mmHALF", "06/09/26 12:05a", 2026, 6, 9, 300, NONE },
	{ "DD/MM/YYYY hh:mm HALF", "9/6/2026 2:05 p.\xc2\xa0m.", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "DD/MM/YYYY hh:mm HALF", "9/6/2026 2:05 \xce\xbc.\xce\xbc.", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "YYYY/MM/DD HALF hh:mm", "2026/6/9 \xe4\xb8\x8b\xe5\x8d\x88 02:05", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "YYYY. MM. DD. HALF hh:mm", "2026. 6. 9. \xec\x98\xa4\xec\xa0\x84 02:05", 2026, 6, 9, 2 * HOUR + 300, NONE },
	{ "DD.MM.YYYY hh:mm HALF", "09.06.2026 02:05 nachm.", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "DD.MM.YYYY hh:mm HALF", "09.06.2026 12:05 vorm.", 2026, 6, 9, 300, NONE },
	{ "YYYY.MM.DD. HALF hh:mm", "2026.06.09. du. 2:05", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "YY.MM.DD hh:mm", "26.06.09 14:05", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "YY.MM.DD hh:mm", "69.06.09 14:05", 2069, 6, 9, 14 * HOUR + 300, NONE },
	{ "YY.MM.DD hh:mm", "70.06.09 14:05", 1970, 6, 9, 14 * HOUR + 300, NONE },
	{ "DD-MONTH-YYYY hh:mm", "09-Jun-2026 14:05", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "DD. MONTH YYYY hh:mm", "9. M\xc3\xa4rz 2026 14:05", 2026, 3, 9, 14 * HOUR + 300, NONE },
	{ "DD MONTH YYYY hh:mm", "9 juil. 2026 14:05", 2026, 7, 9, 14 * HOUR + 300, NONE },
	{ "DD MONTH YYYY hh:mm", "9 ao\xc3\xbbt 2026 14:05", 2026, 8, 9, 14 * HOUR + 300, NONE },
	{ "MONTH DD, YYYY hh:mm HALF", "DEC 31, 2026 11:59 pm", 2026, 12, 31, 86340, NONE },
	{ "WEEKDAY DD.MM.YYYY hh:mm", "Di. 09.06.2026 14:05", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "YYYYMMDDhhmmss", "20260609140506", 2026, 6, 9, 14 * HOUR + 306, NONE },
	{ "YYYYMMDD hhmm", "20260609 1405", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "YYYY-MM-DD hh'h'mm", "2026-06-09 14h05", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "DD.MM.YYYY[ hh:mm[:ss]]", "09.06.2026", 2026, 6, 9, 0, NONE },
	{ "DD.MM.YYYY[ hh:mm[:ss]]", "09.06.2026 14:05", 2026, 6, 9, 14 * HOUR + 300, NONE },
	{ "DD.MM.YYYY[ hh:mm[:ss]]", "09.06.2026 14:05:06", 2026, 6, 9, 14 * HOUR + 306, NONE },
	{ "YYYY-MM-DD hh:mm", "2026-06-30 24:00", 2026, 7, 1, 0, NONE },
	{ "YYYY-MM-DD", "2024-02-29", 2024, 2, 29, 0, NONE },
	{ "serial", "25569", 1970, 1, 1, 0, NONE },
	{ "serial", "61", 1900, 3, 1, 0, NONE },
	{ "serial", "46182.5", 2026, 6, 9, 12 * HOUR, NONE },
	{ "serial", "46182,58680556", 2026, 6, 9, 14 * HOUR + 5 * MINUTE, NONE },
	{ "serial", "46182.5868", 2026, 6, 9, 14 * HOUR + 5 * MINUTE, NONE },
	{ "serial", "46182.999999", 2026, 6, 10, 0, NONE },
	{ "serial-1904", "0", 1904, 1, 1, 0, NONE },
	{ "serial-1904", "44720.25", 2026, 6, 9, 6 * HOUR, NONE },
	{ "unix", "1781013906", 2026, 6, 9, 14 * HOUR + 306, 0 },
	{ "unix-ms", "1781013906250", 2026, 6, 9, 14 * HOUR + 306, 0 },
};

static void reads(const struct row *r)
{
	struct time_format f;
	struct time_reading t;
	const char *why = NULL;
	enum timeform_fault fault;

	if (!time_format_compile(&f, slice_of(r->form), &why)) {
		failures++;
		printf("failed: the form %s: %s\n", r->form, why);
		return;
	}
	fault = time_format_read(&f, NULL, slice_of(r->text), &t, NULL);
	if (fault || t.day != day_of(r->year, r->month, r->day) || t.second != r->second ||
	    t.has_offset != (r->offset != NONE) || (t.has_offset && t.offset_s != r->offset * 60)) {
		failures++;
		printf("failed: %s as %s: fault %d, day %d, second %d, offset %d\n", r->text, r->form, fault, t.day, t.second, t.offset_s);
	}
}

static const struct {
	const char *form, *text;
	enum timeform_fault fault;
} bad[] = {
	{ "YYYY-MM-DD hh:mm", "2026-02-29 14:05", TIME_FORMAT_NO_DAY },
	{ "YYYY-MM-DD hh:mm", "2026-13-01 14:05", TIME_FORMAT_NO_DAY },
	{ "YYYY-MM-DD hh:mm", "0000-01-01 14:05", TIME_FORMAT_NO_DAY },
	{ "YYYY-MM-DD hh:mm", "2026-06-09 24:01", TIME_FORMAT_NO_TIME },
	{ "YYYY-MM-DD hh:mm", "2026-06-09 14:60", TIME_FORMAT_NO_TIME },
	{ "YYYY-MM-DD hh:mm", "2026-06-09", TIME_FORMAT_MALFORMED },
	{ "YYYY-MM-DD hh:mm", "2026-06-09 14:05 x", TIME_FORMAT_MALFORMED },
	{ "YYYY-MM-DD hh:mm", "2026-06-09T14:05", TIME_FORMAT_MALFORMED },
	{ "YYYY-MM-DD hh:mm", "026-06-09 14:05", TIME_FORMAT_MALFORMED },
	{ "YYYY-MM-DD hh:mm", "", TIME_FORMAT_MALFORMED },
	{ "MM/DD/YY hh:mm HALF", "06/09/26 13:05 PM", TIME_FORMAT_NO_TIME },
	{ "MM/DD/YY hh:mm HALF", "06/09/26 0:05 PM", TIME_FORMAT_NO_TIME },
	{ "MM/DD/YY hh:mm HALF", "06/09/26 02:05", TIME_FORMAT_MALFORMED },
	{ "MM/DD/YY hh:mm HALF", "06/09/26 02:05 XM", TIME_FORMAT_MALFORMED },
	{ "DD MONTH YYYY", "9 Foo 2026", TIME_FORMAT_MALFORMED },
	{ "YYYYMMDD", "2026069", TIME_FORMAT_MALFORMED },
	{ "YYYYMMDD", "202606099", TIME_FORMAT_MALFORMED },
	{ "DD.MM.YYYY[ hh:mm[:ss]]", "09.06.2026 14", TIME_FORMAT_MALFORMED },
	{ "serial", "46182.5x", TIME_FORMAT_MALFORMED },
	{ "serial", "60", TIME_FORMAT_NO_DAY },
	{ "serial", "2958466", TIME_FORMAT_NO_DAY },
	{ "unix", "99999999999999", TIME_FORMAT_NO_DAY },
	{ "unix", "-1", TIME_FORMAT_MALFORMED },
};

static void refuses(void)
{
	for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
		struct time_format f;
		struct time_reading t;
		const char *why;
		enum timeform_fault fault;

		time_format_compile(&f, slice_of(bad[i].form), &why);
		fault = time_format_read(&f, NULL, slice_of(bad[i].text), &t, NULL);
		if (fault != bad[i].fault) {
			failures++;
			printf("failed: %s as %s: fault %d\n", bad[i].text, bad[i].form, fault);
		}
	}
}

static void bad_forms(void)
{
	static const char *const form[] = {
		"", "YYYY-MM", "hh:mm", "YYYY-MM-DD hh", "YYYY-MM-DD mm", "YYYY-MM-DD hh:mm:ss:ss", "YYYY-YY-MM-DD",
		"YYYY-MM-MONTH-DD", "YYYY-MM-DD [hh:mm", "YYYY-MM-DD hh:mm]", "YYYY-MM-DD 'T", "YYYY-MM-DD ss", "Serial",
		"YYYY-MM-DD HALF", "YYYY-MM-DD OFFSET",
		"YYYY-MM-DD xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx",
	};

	for (size_t i = 0; i < sizeof form / sizeof *form; i++) {
		struct time_format f;
		const char *why = NULL;
		bool fine = time_format_compile(&f, slice_of(form[i]), &why);

		/* an hour alone is a time */
		if (fine != (i == 3) || (!fine && !why)) {
			failures++;
			printf("failed: the form `%s` is %s\n", form[i], fine ? "taken" : "refused without a word");
		}
	}
}

static void own_vocab_words(void)
{
	struct slice am[] = { SLICE("ochtend") }, pm[] = { SLICE("na de noen") };
	struct slice month[12] = { SLICE("I"), SLICE("II"), SLICE("III"), SLICE("IV"), SLICE("V"), SLICE("VI"),
		SLICE("VII"), SLICE("VIII"), SLICE("IX"), SLICE("X"), SLICE("XI"), SLICE("XII") };
	struct slice zone[] = { SLICE("CET"), SLICE("CEST") };
	int32_t zone_s[] = { HOUR, 2 * HOUR };
	struct time_words words = { am, pm, month, 1, 1, 12, zone, zone_s, 2 };
	struct time_format f;
	struct time_reading t;
	const char *why;

	time_format_compile(&f, SLICE("DD MONTH YYYY hh:mm HALF"), &why);
	if (time_format_read(&f, &words, SLICE("9 VII 2026 2:05 na de noen"), &t, NULL) || t.day != day_of(2026, 7, 9) ||
	    t.second != 14 * HOUR + 300) {
		failures++;
		printf("failed: a works' own words\n");
	}
	if (time_format_read(&f, &words, SLICE("9 VII 2026 2:05 Ochtend"), &t, NULL) || t.second != 2 * HOUR + 300) {
		failures++;
		printf("failed: a works' own word for the morning\n");
	}
	time_format_compile(&f, SLICE("YYYY-MM-DD hh:mm OFFSET"), &why);
	if (time_format_read(&f, &words, SLICE("2026-07-09 02:05 CEST"), &t, NULL) || !t.has_offset || t.offset_s != 2 * HOUR ||
	    time_format_read(&f, &words, SLICE("2026-01-09 02:05 CET"), &t, NULL) || t.offset_s != HOUR ||
	    time_format_read(&f, &words, SLICE("2026-01-09 02:05 +03:00"), &t, NULL) || t.offset_s != 3 * HOUR ||
	    !time_format_read(&f, &words, SLICE("2026-01-09 02:05 CETX"), &t, NULL) || !time_format_read(&f, NULL, SLICE("2026-01-09 02:05 CET"), &t, NULL)) {
		failures++;
		printf("failed: words for offsets\n");
	}
}

static void headers(void)
{
	static const struct { const char *text; bool found; int32_t offset_s; } row[] = {
		{ "Read at, on GMT+12:00", true, 43200 }, { "UTC +1", true, 3600 }, { "yard 3, GMT-03:30 (north bay)", true, -12600 },
		{ "UTC", false, 0 }, { "+12:00", false, 0 }, { "XGMT+1", false, 0 }, { "GMT GMT+2", true, 7200 }, { "", false, 0 },
		{ "GMT+1300", true, 46800 },
	};

	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		int32_t offset_s = 0;
		bool found = time_format_find_offset(slice_of(row[i].text), &offset_s);

		if (found != row[i].found || (found && offset_s != row[i].offset_s)) {
			failures++;
			printf("failed: the offset in `%s`: %d\n", row[i].text, offset_s);
		}
	}
}

int main(void)
{
	for (size_t i = 0; i < sizeof good / sizeof *good; i++)
		reads(&good[i]);
	refuses();
	bad_forms();
	own_vocab_words();
	headers();
	return failures != 0;
}
