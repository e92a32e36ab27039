#include "moist/meter_line.h"

#include <math.h>
#include <stdlib.h>

#include "math/least_squares.h"

static int pair_order(const void *a, const void *b)
{
	const struct meter_pair *x = a, *y = b;

	if (x->reading_pct != y->reading_pct)
		return x->reading_pct < y->reading_pct ? -1 : 1;
	if (x->true_pct != y->true_pct)
		return x->true_pct < y->true_pct ? -1 : 1;
	return (x->day > y->day) - (x->day < y->day);
}

static void find_days(struct meter_line *line, const struct meter_pair *pair)
{
	line->first = line->last = pair[0].day;
	for (size_t i = 1; i < line->n; i++) {
		line->first = pair[i].day < line->first ? pair[i].day : line->first;
		line->last = pair[i].day > line->last ? pair[i].day : line->last;
	}
}

static void find_line(struct meter_line *line, const struct meter_pair *pair)
{
	double *x = mem_array(2 * line->n, sizeof *x), *y = mem_array(line->n, sizeof *y);
	struct fit fit;

	for (size_t i = 0; i < line->n; i++) {
		x[2 * i] = 1;
		x[2 * i + 1] = pair[i].reading_pct;
		y[i] = pair[i].true_pct;
	}
	fit_line(x, y, line->n, 2, &fit);
	if (fit.outcome != FIT_UNFIT) {
		line->a = fit.parameter[0];
		line->b = fit.parameter[1];
	}
	if (line->n > 2 && fit.outcome == FIT_GOOD) {
		line->sd = fit.sd;
		line->a_error = fit.error[0];
		line->b_error = fit.error[1];
	}
	free(x);
	free(y);
}

struct meter_line meter_line_of(struct meter_pair *pair, size_t n)
{
	struct meter_line line = { .n = n, .lack = n < METER_PAIRS_LEAST ? METER_PAIRS_LEAST - n : 0, .a = NAN, .b = NAN,
		.sd = NAN, .a_error = NAN, .b_error = NAN, .low_pct = NAN, .high_pct = NAN, .middle_pct = NAN };

	if (!n)
		return line;
	qsort(pair, n, sizeof *pair, pair_order);
	line.low_pct = pair[0].reading_pct;
	line.high_pct = pair[n - 1].reading_pct;
	line.middle_pct = 0;
	for (size_t i = 0; i < n; i++)
		line.middle_pct += pair[i].reading_pct / (double)n;
	find_days(&line, pair);
	if (line.low_pct < line.high_pct)
		find_line(&line, pair);
	return line;
}

double meter_line_error(double sd, double n, double b_error, double off_middle_pct)
{
	return hypot(sd / sqrt(n), b_error * off_middle_pct);
}
