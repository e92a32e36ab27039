/*
 * month_days.h - the days that a page of a month or a year is of.
 */
#ifndef WITHY_MONTH_DAYS_H
#define WITHY_MONTH_DAYS_H

#include <stdbool.h>
#include <stdint.h>

struct month_days {
	int32_t first, last;
	bool is_year;              /* a year, or what there is of it so far, instead of a month */
};

/* The month that a day is in; the same up to that day. */
struct month_days month_days_of(int32_t day);
struct month_days month_days_so_far(int32_t day);

/* A month, YYYY-MM; a year, YYYY, up to today if it is not over. False: the text is no such name. */
bool month_days_named(const char *month, struct month_days *days);
bool month_days_of_year(const char *year, int32_t today, struct month_days *days);

#endif
