#include "moist/line_error.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "house/house.h"
#include "math/distributions.h"
#include "moist/meter_line.h"

enum { PARAMETERS = 2 };

static const double SPAN_ROUNDED = 0.05;

static double in_pct(int64_t steps)
{
	return steps == INT64_MIN ? -INFINITY : steps == INT64_MAX ? INFINITY : (double)steps / VALUE_STEPS;
}

/* From a span alone: n readings, evenly spread, have a sum of squares of n (high - low)^2 / 12 about their mean. */
static void fill_by_span(struct line_error *e)
{
	double width = e->high_pct - e->low_pct;

	if (isnan(e->middle_pct))
		e->middle_pct = isfinite(width) ? (e->low_pct + e->high_pct) / 2 : 0;
	if (isnan(e->b_error))
		e->b_error = isfinite(width) && width > 0 ? e->sd / (width * sqrt(e->n / 12)) : 0;
}

struct line_error line_error_of(const struct house_calibration *line)
{
	struct line_error e = { .b = 1, .df = INFINITY, .low_pct = -INFINITY, .high_pct = INFINITY };

	if (!line)
		return e;
	e.a = line->a;
	e.b = line->b;
	e.n = line->pairs > 1 ? (double)line->pairs : 1;
	e.sd = line->sd;
	e.b_error = line->b_error;
	e.middle_pct = line->middle == HOUSE_NONE ? NAN : in_pct(line->middle);
	e.df = fmax(e.n - PARAMETERS, 1); /* fewer than ten are reported, and still do not pass for a sure line */
	if (house_range_given(line->span)) {
		e.low_pct = in_pct(line->span.low);
		e.high_pct = in_pct(line->span.high);
	}
	fill_by_span(&e);
	return e;
}

/* What the meter showed, at its reference temperature. */
static double reading_of(const struct line_error *e, double mc_pct)
{
	return (mc_pct - e->a) / e->b;
}

double line_error_at(const struct line_error *e, double mc_pct)
{
	return e->n > 0 ? meter_line_error(e->sd, e->n, e->b_error, reading_of(e, mc_pct) - e->middle_pct) : 0;
}

double line_error_beyond(const struct line_error *e, double mc_pct)
{
	double reading = reading_of(e, mc_pct);

	if (reading < e->low_pct - SPAN_ROUNDED)
		return reading - e->low_pct;
	return reading > e->high_pct + SPAN_ROUNDED ? reading - e->high_pct : 0;
}

static struct line_part *part_of(struct line_sum *s, const struct house_calibration *line)
{
	for (size_t i = 0; i < s->n; i++)
		if (s->part[i].line == line)
			return &s->part[i];
	s->part = mem_grow(s->part, &s->cap, s->n + 1, sizeof *s->part);
	s->part[s->n] = (struct line_part){ .line = line, .error = line_error_of(line) };
	return &s->part[s->n++];
}

void line_sum_add(struct line_sum *s, const struct house_calibration *line, double c, double mc_pct)
{
	struct line_part *part;

	if (!line)
		return;
	part = part_of(s, line);
	part->weight += c;
	part->moment += c * (reading_of(&part->error, mc_pct) - part->error.middle_pct);
	s->residual += fabs(c) * part->error.sd * part->error.sd;
}

void line_sum_release(struct line_sum *s)
{
	free(s->part);
	*s = (struct line_sum){ 0 };
}

struct line_doubt line_sum_doubt(const struct line_sum *s)
{
	double variance = 0, shared = 0;

	for (size_t i = 0; i < s->n; i++) {
		const struct line_error *e = &s->part[i].error;
		double error = meter_line_error(e->sd * s->part[i].weight, e->n, e->b_error, s->part[i].moment);

		variance += error * error;
		shared += error * error * error * error / e->df;
	}
	return (struct line_doubt){ sqrt(variance), shared > 0 ? variance * variance / shared : INFINITY };
}

double line_doubt_half(struct line_doubt d, double sure)
{
	return d.error > 0 ? dist_t_q((1 + sure) / 2, d.df) * d.error : 0;
}
