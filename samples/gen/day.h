/*
 * day.h - the calendar of the sample works. Days count from 0 = 2026-01-01; a minute counts
 * from midnight on the works' clock, and UNTIMED is an entry with a date only.
 */
#ifndef SAMPLE_DAY_H
#define SAMPLE_DAY_H

#include <stdbool.h>

enum { UNTIMED = -1, DAYS = 730 };

/* The day of a date; months and days count from 1. */
int day_of(int year, int month, int day);

/* "2026-01-01" in `out`, which holds 11 bytes. Returns out. */
char *day_text(char *out, int day);

int day_month(int day);   /* 1..12 */
int day_year(int day);
int day_dom(int day);     /* 1..31 */
int day_weekday(int day); /* 0 = Monday .. 6 = Sunday */

/* Monday to Friday, and not in the summer shut-down from 24 December to 10 January. */
bool day_works(int day);

/* The first working day from `day` on. */
int day_next_work(int day);

/* Values for the middle of January .. December, joined by straight lines. */
double day_seasonal(const double month[12], int day);

#endif
