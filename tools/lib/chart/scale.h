/*
 * scale.h - from values to places, and the ticks between: linear by nice numbers, dates by the calendar.
 *
 * A scale takes values in [from, to] to places in [at, end], in px; `end` may be less than `at` (y grows
 * downwards). Values of a date scale are days since 1970-01-01 (calendar.h), with fractions. No value is refused: one that
 * is beyond the ends has its place beyond them, and a scale of one value is widened.
 */
#ifndef WITHY_SCALE_H
#define WITHY_SCALE_H

#include <stdbool.h>
#include <stddef.h>

struct scale {
	double from, to, at, end;
	bool dates;
	double step;              /* of linear ticks */
};

enum { SCALE_TICK_TEXT = 32, SCALE_TICKS_MOST = 64 };

struct scale_tick {
	double value;
	bool major;               /* a long tick, which has a text */
	char text[SCALE_TICK_TEXT];
};

/*
 * A scale that holds low to high, with ends on multiples of a nice number (1, 2 or 5 times a power of ten), about `ticks`
 * of them. Ends that are not finite count as 0 and 1; equal ones are moved apart.
 */
struct scale scale_nice(double low, double high, size_t ticks);

/* Days from `from` to `to`, at least one. Ends that no calendar has are cut to the years 0001 to 9999. */
struct scale scale_days(double from, double to);

/* The same scale between two places. */
struct scale scale_between(struct scale s, double at, double end);

double scale_at(const struct scale *s, double value);

/*
 * The ticks, in order, at most SCALE_TICKS_MOST; those of dates at least `apart` px from each other. A date has the short
 * name of its month, the first one and each January the year too: "7 Dec 2027", "14 Dec", "Jan 2028".
 */
size_t scale_ticks(const struct scale *s, double apart, struct scale_tick *tick);

/* The places after the point that tell ticks of that step apart, at most 6. */
unsigned scale_places(double step);

/* The short name of a month, from 1. */
const char *scale_month(int month);

#endif
