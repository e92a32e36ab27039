/*
 * calendar.c - day numbers against published facts, and against walking the calendar day by day.
 *
 * Sources: IEEE Std 1003.1-2017, 4.16 "Seconds Since the Epoch" (1970-01-01 00:00:00 UTC is second 0, a
 * day has 86400 seconds; its formula gives 946684800 for 2000-01-01). ISO 8601:2004, 3.2 (leap years;
 * 2000-01-01 is a Saturday). RFC 3339, appendices B and C (weekdays, leap years). The bull Inter
 * gravissimas, 1582 (97 leap years in 400; Friday 15 October 1582 is the first day).
 */
#include "time/calendar.h"
#include "check.h"

static const struct {
	int year, month, date;
	int32_t day;
	int weekday;             /* 0 Monday */
} known[] = {
	{ 1970, 1, 1, 0, 3 },
	{ 1969, 12, 31, -1, 2 },
	{ 2000, 1, 1, 10957, 5 },        /* 946684800 / 86400 */
	{ 2000, 2, 29, 11016, 1 },
	{ 2000, 3, 1, 11017, 2 },
	{ 2038, 1, 19, 24855, 1 },       /* 2^31 seconds are in this day */
	{ 1582, 10, 15, -141427, 4 },    /* the first day of the Gregorian calendar, a Friday */
	{ 1, 1, 1, -719162, 0 },
	{ 9999, 12, 31, 2932896, 4 },
};

static void facts(void)
{
	for (size_t i = 0; i < sizeof known / sizeof *known; i++) {
		int year, month, date;

		CHECK_CASE(i);
		CHECK_INT(day_of(known[i].year, known[i].month, known[i].date), known[i].day);
		CHECK_INT(day_weekday(known[i].day), known[i].weekday);
		day_split(known[i].day, &year, &month, &date);
		CHECK(year == known[i].year && month == known[i].month && date == known[i].date);
	}
	CHECK_CASE(-1);
	CHECK(year_is_leap(2000) && year_is_leap(2024) && !year_is_leap(1900) && !year_is_leap(2023));
	CHECK(month_length(2000, 2) == 29 && month_length(1900, 2) == 28 && month_length(2026, 12) == 31);
	CHECK_INT(400 * 365 + 97, CYCLE_DAYS);
	CHECK_INT(CYCLE_DAYS % 7, 0);
}

/* Every day from 0001-01-01 to 9999-12-31 follows the one before. */
static void walk(void)
{
	int32_t day = -719162;
	bool numbers = true, back = true, weekdays = true, cycle = true;

	for (int y = 1; y <= 9999; y++)
		for (int m = 1; m <= 12; m++)
			for (int d = 1; d <= month_length(y, m); d++, day++) {
				int year, month, date;

				day_split(day, &year, &month, &date);
				numbers = numbers && day_of(y, m, d) == day;
				back = back && year == y && month == m && date == d;
				weekdays = weekdays && day_weekday(day + 1) == (day_weekday(day) + 1) % 7;
				cycle = cycle && (y > 9599 || day_of(y + 400, m, d) == day + 146097);
			}
	CHECK(numbers);
	CHECK(back);
	CHECK(weekdays);
	CHECK(cycle);
	CHECK_INT(day, 2932897);
}

static void seconds(void)
{
	static const struct {
		int64_t s;
		int32_t day, second;
	} row[] = {
		{ 0, 0, 0 }, { 86399, 0, 86399 }, { 86400, 1, 0 }, { -1, -1, 86399 }, { -86400, -1, 0 }, { -86401, -2, 86399 },
		{ 946684800, 10957, 0 }, { 2147483648, 24855, 11648 },
	};

	for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
		CHECK_CASE(i);
		CHECK_INT(seconds_day(row[i].s), row[i].day);
		CHECK_INT(seconds_in_day(row[i].s), row[i].second);
		CHECK_INT(day_seconds(row[i].day) + row[i].second, row[i].s);
	}
	CHECK_CASE(-1);
	CHECK(DAY_S == 24 * HOUR_S && HOUR_S == 60 * MINUTE_S);
}

/* Worked out by hand: months are of 28 to 31 days, and 2028 is a leap year. */
static void months_before(void)
{
	static const struct {
		int year, month, date, months, was_year, was_month, was_date;
	} cases[] = {
		{ 2027, 12, 1, 12, 2026, 12, 1 }, { 2027, 12, 31, 1, 2027, 11, 30 }, { 2028, 3, 31, 1, 2028, 2, 29 },
		{ 2027, 3, 31, 1, 2027, 2, 28 }, { 2028, 2, 29, 12, 2027, 2, 28 }, { 2027, 1, 15, 1, 2026, 12, 15 }, { 2, 1, 1, 12, 1, 1, 1 },
	};

	for (size_t i = 0; i < sizeof cases / sizeof *cases; i++)
		CHECK(day_months_before(day_of(cases[i].year, cases[i].month, cases[i].date), cases[i].months)
			== day_of(cases[i].was_year, cases[i].was_month, cases[i].was_date));
	CHECK(day_months_before(day_of(1, 12, 31), 12) == INT32_MIN);
	CHECK(day_months_before(day_of(9999, 12, 31), INT32_MAX) == INT32_MIN);
}

int main(void)
{
	months_before();
	facts();
	walk();
	seconds();
	return check_end();
}
