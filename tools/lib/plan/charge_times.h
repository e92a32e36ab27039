/*
 * charge_times.h - how long the works' charges took: from loading until the kiln was empty, from then until the last blade was
 * graded, and both together.
 *
 * The logarithms of the days are taken as normal. What a new charge will take is then Student's t around the mean of the past
 * ones, with n - 1 degrees of freedom and the scale s sqrt(1 + 1/n) (the prediction of one more observation,
 * NIST/SEMATECH e-Handbook 7.2.1; from memory). Half a day is added to every duration, so that 0 has a
 * logarithm. Charges of which pieces are still on their way do not count.
 */
#ifndef WITHY_CHARGE_TIMES_H
#define WITHY_CHARGE_TIMES_H

#include <stddef.h>
#include <stdint.h>

#include "grades/last_charge.h"

struct under_way;

enum charge_time { CHARGE_TIME_KILN, CHARGE_TIME_AFTER, CHARGE_TIME_ALL, CHARGE_TIMES };

enum { CHARGE_TIMES_LEAST = 2 }; /* of fewer charges nothing is said */

struct charge_times {
	struct last_charge last;
	int32_t *graded;           /* by id of the stock: the last day on which a blade of the charge got its first grade; 0: none */
	size_t cap;
	size_t n;                  /* charges */
	double mean[CHARGE_TIMES], sd[CHARGE_TIMES]; /* of the logarithms */
};

void charge_times_init(struct charge_times *t);
void charge_times_release(struct charge_times *t);

/* The stock_sink; its context is the `struct charge_times`. */
void charge_times_flow(void *context, const struct stock_flow *f);

/* After under_way_end(). */
void charge_times_end(struct charge_times *t, const struct under_way *u);

/* The chance that it takes no more than so many days; 1 where nothing is known. */
double charge_times_chance(const struct charge_times *t, enum charge_time what, double days);

/* In days; NAN where nothing is known. */
double charge_times_median(const struct charge_times *t, enum charge_time what);

#endif
