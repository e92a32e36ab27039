/*
 * calendar.h - days and seconds of the calendar.
 *
 * A day is a number: days since 1970-01-01 in the proleptic Gregorian calendar. All days have
 * 86400 seconds, as on a clock without leap seconds.
 *
 * Seconds count from 1970-01-01 00:00:00. The functions serve instants (UTC) and wall clocks alike:
 * the caller decides which of the two it passes.
 */
#ifndef WITHY_CALENDAR_H
#define WITHY_CALENDAR_H

#include <stdbool.h>
#include <stdint.h>

enum {
	MINUTE_S = 60,
	HOUR_S = 3600,
	DAY_S = 86400,
	CYCLE_YEARS = 400,       /* the calendar repeats after so many years, */
	CYCLE_DAYS = 146097      /* which are so many days: a whole number of weeks */
};

bool year_is_leap(int year);
int month_length(int year, int month);                     /* days; the month is 1 to 12 */

/* The day of a date, and back, for years 0001 to 9999. The date must exist; months and days from 1. */
int32_t day_of(int year, int month, int date);
void day_split(int32_t day, int *year, int *month, int *date);

/*
 * The same day of the month so many months before; where that month is shorter, its last. INT32_MIN before
 * the year 1.
 */
int32_t day_months_before(int32_t day, int64_t months);

int day_weekday(int32_t day);                              /* 0 Monday .. 6 Sunday */

/* The day that holds a second, and how far into that day it is (0 to 86399). Both also before 1970. */
int32_t seconds_day(int64_t s);
int32_t seconds_in_day(int64_t s);

/* The first second of a day. */
int64_t day_seconds(int32_t day);

#endif
