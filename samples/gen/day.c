#include <stdio.h>

#include "day.h"

/* The generator counts days by walking the years: it must not depend on the library that it tests. */

static const int month_days[12] = { 31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31 };

static bool leap(int year)
{
	return year % 4 == 0; /* between 1901 and 2099 */
}

static int days_in(int year, int month)
{
	return month_days[month - 1] + (month == 2 && leap(year));
}

int day_of(int year, int month, int day)
{
	int n = 0;

	for (int y = 2026; y < year; y++)
		n += 365 + leap(y);
	for (int m = 1; m < month; m++)
		n += days_in(year, m);
	return n + day - 1;
}

struct date {
	int year, month, day;
};

static struct date date_of(int day)
{
	struct date d = { 2026, 1, 1 };

	while (day >= 365 + leap(d.year))
		day -= 365 + leap(d.year++);
	while (day >= days_in(d.year, d.month))
		day -= days_in(d.year, d.month++);
	d.day = day + 1;
	return d;
}

char *day_text(char *out, int day)
{
	struct date d = date_of(day);

	snprintf(out, 11, "%04u-%02u-%02u", (unsigned)d.year % 10000, (unsigned)d.month % 100,
		(unsigned)d.day % 100);
	return out;
}

int day_month(int day)
{
	return date_of(day).month;
}

int day_year(int day)
{
	return date_of(day).year;
}

int day_dom(int day)
{
	return date_of(day).day;
}

int day_weekday(int day)
{
	return (day + 3) % 7; /* 2026-01-01 was a Thursday */
}

bool day_works(int day)
{
	struct date d = date_of(day);
	bool shut = (d.month == 12 && d.day >= 24) || (d.month == 1 && d.day <= 10);

	return day_weekday(day) < 5 && !shut;
}

int day_next_work(int day)
{
	while (!day_works(day))
		day++;
	return day;
}

double day_seasonal(const double month[12], int day)
{
	struct date d = date_of(day);
	int m = d.month - 1;
	double part = ((double)d.day - 15.5) / 30.5;

	if (part < 0)
		return month[m] + (month[(m + 11) % 12] - month[m]) * -part;
	return month[m] + (month[(m + 1) % 12] - month[m]) * part;
}
