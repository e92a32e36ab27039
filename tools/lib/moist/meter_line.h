/*
 * meter_line.h - a meter's own line, true = a + b reading, from pieces that were also dried in the oven.
 *
 * A pair is a reading, already corrected for the temperature of the wood (the line comes after that
 * correction: meter.h), and the moisture that the oven found, both in per cent of the oven-dry mass. The line is
 * fitted by ordinary least squares, treating all error as in the oven value. It turns readings into
 * moisture, within the span of the readings that it was fitted to. Fewer than ten pairs give no line for
 * use; `lack` is the number of missing pairs.
 */
#ifndef WITHY_METER_LINE_H
#define WITHY_METER_LINE_H

#include <stddef.h>
#include <stdint.h>

enum { METER_PAIRS_LEAST = 10 };

struct meter_pair {
	double reading_pct, true_pct;
	int32_t day;
};

struct meter_line {
	size_t n, lack;              /* pairs, and how many are missing from ten */
	double a, b;                 /* NAN without two different readings */
	double sd;                   /* of the residuals, with n - 2; NAN under three pairs */
	double a_error, b_error;     /* standard errors; NAN under three pairs */
	double low_pct, high_pct;    /* the span of the readings */
	double middle_pct;           /* their mean */
	int32_t first, last;         /* days */
};

/* Fits `n` pairs, which it sorts so that their order does not matter. */
struct meter_line meter_line_of(struct meter_pair *pair, size_t n);

/*
 * The standard error of the line itself at a reading, of a line with these figures: sqrt(sd^2/n + (b_error
 * (reading - middle))^2). It is least in the middle of the pairs. For a new piece sd^2 comes to it.
 */
double meter_line_error(double sd, double n, double b_error, double off_middle_pct);

#endif
