/*
 * line_error.h - how far off a meter's own line makes a figure that readings give.
 *
 * A line of the house file is true = a + b reading. With n pairs whose readings have the mean `middle`, it is off by a
 * standard error of sqrt(sd^2/n + (b_error (reading - middle))^2), with n - 2 degrees of freedom. All readings of a line are
 * off together, so a mean or a difference of them is no better for being of many. What the house does not say of
 * `middle` and b_error follows from the span: its middle, and pairs spread evenly. Without a span the error in the
 * middle serves everywhere, which is too little far off.
 *
 * Moisture in per cent, corrected by the line. Sources: Draper and Smith, Applied Regression Analysis, 1.4;
 * degrees of freedom of a sum by Satterthwaite (1946), as in the GUM, G.4.
 */
#ifndef WITHY_LINE_ERROR_H
#define WITHY_LINE_ERROR_H

#include <stddef.h>

struct house_calibration;

struct line_error {
	double a, b, n, sd, b_error, middle_pct;
	double df;
	double low_pct, high_pct;   /* the span, as read; infinite where it is not said */
};

/* NULL: no line, and so no error that is known. */
struct line_error line_error_of(const struct house_calibration *line);

/* The standard error at a corrected moisture; 0 without a line. */
double line_error_at(const struct line_error *e, double mc_pct);

/*
 * By how many points, as read, it lies beyond the smallest or largest pair: below 0, above 0, or 0. The span is
 * written in tenths, so 0.05 is not beyond.
 */
double line_error_beyond(const struct line_error *e, double mc_pct);

/* A figure that is the sum of c x moisture, over readings of any lines. A zeroed struct is empty. */
struct line_part {
	const struct house_calibration *line;
	struct line_error error;
	double weight, moment;      /* sums of c, and of c x (reading - middle) */
};

struct line_sum {
	struct line_part *part;
	size_t n, cap;
	double residual;            /* sum of |c| x sd^2 */
};

void line_sum_add(struct line_sum *s, const struct house_calibration *line, double c, double mc_pct);
void line_sum_release(struct line_sum *s);

/* How far off the figure is: standard error and its degrees of freedom (0 and INFINITY without a line). */
struct line_doubt {
	double error, df;
};

struct line_doubt line_sum_doubt(const struct line_sum *s);

/* Student's point times the error, two-sided at `sure`; 0 where there is none. */
double line_doubt_half(struct line_doubt d, double sure);

#endif
