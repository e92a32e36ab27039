/*
 * scale_drift.h - whether a balance drifts: the errors at one check weight, by day.
 *
 * The error is what was read less the mass of the weight. It is fitted by a straight line over the years, whose slope is the
 * drift, and whose value on the day of the answer is the error now; both have Student's intervals with n - 2 degrees
 * of freedom. The line needs SCALE_CHECKS_LEAST checks on different days. Masses in g.
 */
#ifndef WITHY_SCALE_DRIFT_H
#define WITHY_SCALE_DRIFT_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct weigh_book;

enum { SCALE_CHECKS_LEAST = 4 };

/* A drift shows where the chance of it by accident is less. */
#define SCALE_DRIFT_UNLIKELY 0.05

struct scale_row {
	struct slice balance;
	double weight_g;
	size_t n;
	int32_t first, last;       /* days */
	double mean_g, sd_g;       /* of the errors; sd NAN under two */
	double last_g;             /* the last error */
	double year_g, year_low_g, year_high_g; /* the drift in a year; NAN with too few checks */
	double p;                  /* that it is 0 */
	double now_g, now_low_g, now_high_g; /* the error on the day of the answer */
	double within_g;           /* the most that the house allows, or NAN */
};

struct scale_drift {
	struct scale_row *row;     /* by balance, then by weight */
	size_t n, cap;
};

/* Of a book that is ended; `sure` is the confidence of the intervals. */
void scale_drift_find(struct scale_drift *d, const struct weigh_book *book, int32_t today, double sure);
void scale_drift_release(struct scale_drift *d);

#endif
