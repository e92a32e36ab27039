/*
 * control_chart.h - control charts of a row of daily means, with limits from a baseline.
 *
 * Days of one room resemble their neighbours, so limits for independent values are too narrow: with a
 * correlation of 0.9 four good days of ten lie outside. The baseline is therefore fitted by an
 * autoregressive process of the first order, and three things are charted: the mean against its usual
 * range, the day against what the day before leads to expect (the residual), and the exponentially
 * weighted moving average.
 *
 * Sources: charts of residuals, Alwan and Roberts (1988), NIST/SEMATECH e-Handbook 6.4.4.5 for the process;
 * the variance of the average under it, Schmid (1997); the average itself, e-Handbook 6.3.2.4; the bias of
 * the correlation, Marriott and Pope (1954).
 */
#ifndef WITHY_CONTROL_CHART_H
#define WITHY_CONTROL_CHART_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#define AIR_LAMBDA 0.3

enum { AIR_BASELINE_LEAST = 10 }; /* days; fewer say nothing of how days resemble one another */

struct air_day {
	int32_t day;
	double mean;
};

/* x(t) - centre = correlation^g (x(t - g) - centre) + error, for days g apart; the likeliest values. */
struct air_process {
	double centre, correlation; /* from 0 to 0.98 */
	double variance;            /* of the error over one day: residual squares / n */
	double centre_variance;
	size_t n;
};

/* Days in order. False with fewer than AIR_BASELINE_LEAST days, or all alike. */
bool air_process_of(const struct air_day *day, size_t n, struct air_process *p);

struct air_limits {
	double centre, low, high;   /* of a day's mean */
	double correlation;         /* with its bias taken out */
	double step_sd;             /* of the error over one day, with n - 2 */
	double ewma_low, ewma_high;
	size_t n;                   /* days of the baseline */
};

/* Limits from the days in [from, to]; false where these give no process. */
bool air_limits_of(const struct air_day *day, size_t n, int32_t from, int32_t to, struct air_limits *limits);

/* What a mean leads to expect `days` later, and how far from that the limits are. */
double air_expected(const struct air_limits *l, double mean, int32_t days);
double air_expected_reach(const struct air_limits *l, int32_t days);

/* How far the settled limits of the average are from its centre, for means with that sd and correlation. */
double air_ewma_reach(double sd, double correlation);

/* The next value of the average; it starts from the baseline's centre. */
double air_ewma_next(double before, double mean);

#endif
