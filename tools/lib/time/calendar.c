#include "time/calendar.h"

/* Days are counted from 0000-03-01 inside: then the leap day is the last day of its year. */
enum {
	DAYS_TO_1970 = 719468,   /* from 0000-03-01 to 1970-01-01 */
	YEAR_DAYS = 365,
	FOUR_YEARS_DAYS = 1460,  /* of four years, without the leap day at their end */
	CENTURY_DAYS = 36524
};

bool year_is_leap(int year)
{
	return (year % 4 == 0 && year % 100 != 0) || year % 400 == 0;
}

int month_length(int year, int month)
{
	static const int days[] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };

	return month == 2 && year_is_leap(year) ? 29 : days[month - 1];
}

/* From March on, five months in a row have 153 days: (153 m + 2) / 5 days are before month m. */
int32_t day_of(int year, int month, int date)
{
	int y = month <= 2 ? year - 1 : year;
	int cycle = y / CYCLE_YEARS, in_cycle = y % CYCLE_YEARS;
	int in_year = (153 * (month + (month > 2 ? -3 : 9)) + 2) / 5 + date - 1;

	return (int32_t)(cycle * CYCLE_DAYS + in_cycle * YEAR_DAYS + in_cycle / 4 - in_cycle / 100 + in_year - DAYS_TO_1970);
}

void day_split(int32_t day, int *year, int *month, int *date)
{
	int since = day + DAYS_TO_1970, cycle = since / CYCLE_DAYS, in_cycle = since % CYCLE_DAYS;
	int years = (in_cycle - in_cycle / FOUR_YEARS_DAYS + in_cycle / CENTURY_DAYS - in_cycle / (CYCLE_DAYS - 1)) / YEAR_DAYS;
	int in_year = in_cycle - (YEAR_DAYS * years + years / 4 - years / 100);
	int m = (5 * in_year + 2) / 153;

	*date = in_year - (153 * m + 2) / 5 + 1;
	*month = m < 10 ? m + 3 : m - 9;
	*year = years + cycle * CYCLE_YEARS + (*month <= 2);
}

int32_t day_months_before(int32_t day, int64_t months)
{
	int year, month, date, length;
	int64_t all;

	day_split(day, &year, &month, &date);
	all = (int64_t)year * 12 + month - 1 - months;
	if (all < 12)
		return INT32_MIN;
	length = month_length((int)(all / 12), (int)(all % 12) + 1);
	return day_of((int)(all / 12), (int)(all % 12) + 1, date < length ? date : length);
}

int day_weekday(int32_t day)
{
	int weekday = (int)(((int64_t)day + 3) % 7); /* 1970-01-01 was a Thursday */

	return weekday < 0 ? weekday + 7 : weekday;
}

int32_t seconds_day(int64_t s)
{
	return (int32_t)(s / DAY_S - (s % DAY_S < 0));
}

int32_t seconds_in_day(int64_t s)
{
	int32_t left = (int32_t)(s % DAY_S);

	return left < 0 ? left + DAY_S : left;
}

int64_t day_seconds(int32_t day)
{
	return (int64_t)day * DAY_S;
}
