#include "pair/pair_forecast.h"

#include <math.h>
#include <stdlib.h>

#include "pair/bench.h"
#include "weigh/landing.h"

static const struct bench_row *row_of(const struct pair_forecast *f, enum pair_part part, size_t row)
{
	return &f->bench->side[part].row[row];
}

static const struct blank *blank_of(const struct weigh_parts *weigh, uint32_t piece)
{
	for (size_t i = 0; piece && i < weigh->blanks.n; i++)
		if (weigh->blanks.row[i].piece == piece)
			return &weigh->blanks.row[i];
	return NULL;
}

static struct prediction of_blade(const struct pair_forecast *f, size_t row)
{
	const struct bench_row *blade = row_of(f, PAIR_BLADE, row);
	const struct blank *blank = blank_of(&f->weigh, blade->piece);
	struct prediction at = { NAN, NAN, NAN, NAN };

	if (blank)
		mass_lines_at(&f->weigh.lines, blade->kind.type, blank->mass_g, &at);
	return at;
}

/* The mean of the weighed handles in bats. */
static double usual_handle(const struct bench *b)
{
	double sum = 0;
	size_t n = 0;

	for (size_t i = 0; i < b->notes.n; i++) {
		const struct piece_note *note = &b->notes.row[i];

		if (!note->bat || !note->mass || !b->is_handle[note->lot])
			continue;
		sum += (double)note->mass / 1e6;
		n++;
	}
	return n < MASS_PAIRS_LEAST ? NAN : sum / (double)n;
}

void pair_forecast_init(struct pair_forecast *f, const struct house *house, struct stock *stock, int32_t today)
{
	*f = (struct pair_forecast){ .bench = NULL };
	weigh_parts_init(&f->weigh, house, stock, today);
}

void pair_forecast_release(struct pair_forecast *f)
{
	weigh_parts_release(&f->weigh);
	free(f->blade);
	free(f->other);
}

void pair_forecast_take(struct pair_forecast *f, const struct line *l)
{
	weigh_parts_take(&f->weigh, l);
}

void pair_forecast_flow(struct pair_forecast *f, const struct stock_flow *flow)
{
	blade_stock_flow(&f->weigh.blades, flow);
}

const struct pair_forecast *pair_forecast_find(struct pair_forecast *f, const struct bench *bench, const struct order *order)
{
	double half_g;

	if (!order || !order_has_mass(order))
		return NULL;
	weigh_parts_end(&f->weigh);
	weigh_parts_fit(&f->weigh, NAN, MASS_BY_TYPE, 0);
	f->bench = bench;
	half_g = (double)weigh_book_step(&f->weigh.book) / 2e6;
	f->low_g = order->mass_least == INT64_MIN ? -INFINITY : (double)order->mass_least / 1e6 - half_g;
	f->high_g = order->mass_most == INT64_MAX ? INFINITY : (double)order->mass_most / 1e6 + half_g;
	f->handle_g = usual_handle(bench);
	f->blade = mem_array(bench->side[PAIR_BLADE].n, sizeof *f->blade);
	f->other = mem_array(bench->side[PAIR_BLADE].n, sizeof *f->other);
	for (size_t i = 0; i < bench->side[PAIR_BLADE].n; i++) {
		const struct stock_kind *kind = &row_of(f, PAIR_BLADE, i)->kind;

		f->blade[i] = of_blade(f, i);
		f->other[i] = landing_of(&f->weigh, NULL, kind->type, kind->class, f->low_g, f->high_g).chance;
	}
	return f;
}

/* By how much the handle is heavier than usual. */
static double handle_more(const struct pair_forecast *f, size_t handle)
{
	int64_t mass = row_of(f, PAIR_HANDLE, handle)->mass;

	return mass && !isnan(f->handle_g) ? (double)mass / 1e6 - f->handle_g : 0;
}

struct prediction pair_forecast_of(const struct pair_forecast *f, size_t blade, size_t handle)
{
	struct prediction at = f->blade[blade];

	at.value += handle_more(f, handle);
	return at;
}

double pair_forecast_half(const struct prediction *at)
{
	return prediction_bound(at, 0.95) - at->value;
}

double pair_forecast_chance(const struct pair_forecast *f, size_t blade, size_t handle)
{
	struct prediction at = pair_forecast_of(f, blade, handle);

	return isnan(at.value) ? f->other[blade] : prediction_chance(&at, f->low_g, f->high_g);
}

double pair_forecast_off(const struct pair_forecast *f, size_t blade, size_t handle)
{
	double value = pair_forecast_of(f, blade, handle).value;

	return value > f->high_g ? value - f->high_g : value < f->low_g ? value - f->low_g : 0;
}

bool pair_forecast_misses(const struct pair_forecast *f, size_t blade, size_t handle)
{
	struct prediction at = pair_forecast_of(f, blade, handle);

	return !isnan(at.value) && fabs(pair_forecast_off(f, blade, handle)) > pair_forecast_half(&at);
}

bool pair_forecast_blades(const struct pair_forecast *f, size_t blade, size_t handle, double *low_g, double *high_g)
{
	const struct mass_lines *lines = &f->weigh.lines;
	const struct mass_group *group = mass_lines_group(lines, row_of(f, PAIR_BLADE, blade)->kind.type);
	struct mass_line line = mass_lines_of(lines, group ? group : &lines->all);
	double more = handle_more(f, handle);

	if (!(line.b > 0))
		return false;
	*low_g = (f->low_g - more - line.a_g) / line.b;
	*high_g = (f->high_g - more - line.a_g) / line.b;
	return true;
}
