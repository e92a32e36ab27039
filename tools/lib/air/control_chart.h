/*
 * control_chart.h - control charts of a row of daily means.
 *
 * Individuals and moving range, and the exponentially weighted moving average (NIST/SEMATECH
 * e-Handbook 6.3.2.2 and 6.3.2.4), all with limits from a baseline. A moving range is taken only
 * between days that follow one another; the average goes on over days that are missing.
 */
#ifndef WITHY_CONTROL_CHART_H
#define WITHY_CONTROL_CHART_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define AIR_LAMBDA 0.3
#define AIR_D2 1.128          /* mean range of two over their standard deviation */
#define AIR_D4 3.267

struct air_day {
	int32_t day;
	double mean;
};

struct air_limits {
	double centre, low, high; /* centre +- 3 mean range / d2 */
	double range_high;        /* D4 times the mean range */
	double ewma_low, ewma_high;
	size_t n, ranges;         /* days and ranges of the baseline */
};

/* Limits from the days in [from, to]; false with fewer than two days or no range. */
bool air_limits_of(const struct air_day *day, size_t n, int32_t from, int32_t to, struct air_limits *limits);

/* How far the settled limits of the average are from its centre, for readings with that standard deviation. */
double air_ewma_reach(double sd);

/* The next value of the average; it starts from the baseline's centre. */
double air_ewma_next(double before, double mean);

#endif
