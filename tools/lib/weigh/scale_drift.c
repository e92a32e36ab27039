#include "weigh/scale_drift.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "house/house.h"
#include "weigh/weigh_parts.h"

static const double DAYS_A_YEAR = 365.25;

void scale_drift_release(struct scale_drift *d)
{
	free(d->row);
	memset(d, 0, sizeof *d);
}

static double error_g(const struct weigh_check *c)
{
	return (double)(c->read - c->is) / VALUE_STEPS;
}

static void set_errors(struct scale_row *row, const struct weigh_check *c)
{
	double squares = 0;

	for (size_t i = 0; i < row->n; i++)
		row->mean_g += error_g(&c[i]) / (double)row->n;
	for (size_t i = 0; i < row->n; i++)
		squares += (error_g(&c[i]) - row->mean_g) * (error_g(&c[i]) - row->mean_g);
	row->sd_g = row->n > 1 ? sqrt(squares / (double)(row->n - 1)) : NAN;
	row->last_g = error_g(&c[row->n - 1]);
}

/* Years are counted from the day of the answer, so that the line's level is the error now. */
static void fit_errors(const struct weigh_check *c, size_t n, int32_t today, struct fit *fit)
{
	double *x = mem_array(2 * n, sizeof *x), *y = mem_array(n, sizeof *y);

	for (size_t i = 0; i < n; i++) {
		x[2 * i] = 1;
		x[2 * i + 1] = (c[i].when.day - today) / DAYS_A_YEAR;
		y[i] = error_g(&c[i]);
	}
	fit_line(x, y, n, 2, fit);
	free(x);
	free(y);
}

static void set_drift(struct scale_row *row, const struct fit *fit, double sure)
{
	struct prediction now = prediction_at(fit, (const double[]){ 1, 0 }), year = prediction_at(fit, (const double[]){ 0, 1 });

	row->year_g = year.value;
	row->year_low_g = prediction_line_bound(&year, (1 - sure) / 2);
	row->year_high_g = prediction_line_bound(&year, (1 + sure) / 2);
	row->p = fit_parameter_p(fit, 1);
	row->now_g = now.value;
	row->now_low_g = prediction_line_bound(&now, (1 - sure) / 2);
	row->now_high_g = prediction_line_bound(&now, (1 + sure) / 2);
}

static double allowed_g(const struct house *house, struct slice balance)
{
	const struct house_meter *meter = house ? house_meter(house, balance) : NULL;

	return meter && meter->within != HOUSE_NONE ? (double)meter->within / VALUE_STEPS : NAN;
}

static size_t days_of(const struct weigh_check *c, size_t n)
{
	size_t days = 1;

	for (size_t i = 1; i < n; i++)
		days += c[i].when.day != c[i - 1].when.day;
	return days;
}

static struct scale_row row_of(const struct weigh_check *c, size_t n, int32_t today, double sure)
{
	struct scale_row row = { .balance = c->name, .weight_g = (double)c->is / VALUE_STEPS, .n = n, .first = c->when.day, .last = c[n - 1].when.day,
		.year_g = NAN, .year_low_g = NAN, .year_high_g = NAN, .p = NAN, .now_g = NAN, .now_low_g = NAN, .now_high_g = NAN };
	struct fit fit;

	set_errors(&row, c);
	if (days_of(c, n) < SCALE_CHECKS_LEAST)
		return row;
	fit_errors(c, n, today, &fit);
	if (fit.outcome == FIT_GOOD)
		set_drift(&row, &fit, sure);
	return row;
}

void scale_drift_find(struct scale_drift *d, const struct weigh_book *book, int32_t today, double sure)
{
	const struct weigh_check *c = book->check;

	*d = (struct scale_drift){ .n = 0 };
	for (size_t i = 0, n; i < book->nchecks; i += n) {
		for (n = 1; i + n < book->nchecks && c[i + n].balance == c[i].balance && c[i + n].is == c[i].is;)
			n++;
		d->row = mem_grow(d->row, &d->cap, d->n + 1, sizeof *d->row);
		d->row[d->n] = row_of(&c[i], n, today, sure);
		d->row[d->n++].within_g = allowed_g(book->house, c[i].name);
	}
}
