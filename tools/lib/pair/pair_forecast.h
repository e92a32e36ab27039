/*
 * pair_forecast.h - what a pair will weigh as a finished bat, if an order asks for a mass.
 *
 * The blade's part is the line of wy-weigh(1) at its own mass (mass_lines.h). The line holds for a handle of the usual mass: that of the
 * weighed handles that are in bats. Another handle makes the bat heavier by what it is heavier, gram for gram. With fewer than
 * MASS_PAIRS_LEAST such handles, or a handle that was not weighed, the handle is taken as usual.
 *
 * A pair cannot land where the range that nine in ten such bats finish in lies outside that of the order, with what rounds into it.
 * A blade that was not weighed by itself, or that no line serves, may land.
 */
#ifndef WITHY_PAIR_FORECAST_H
#define WITHY_PAIR_FORECAST_H

#include <stdbool.h>
#include <stddef.h>

#include "weigh/weigh_parts.h"

struct bench;

struct pair_forecast {
	struct weigh_parts weigh;
	const struct bench *bench;
	double low_g, high_g;      /* of the order, with what rounds into it; either may be infinite */
	double handle_g;           /* the usual mass of a handle; NAN: not known */
	struct prediction *blade;  /* by row of the bench; a value of NAN: not known */
	double *other;             /* likewise: the chance of blades of its type and class (landing.h), for those; NAN: not known either */
};

/* `house` may be NULL. Before the first line; lines and flows are handed in as to others. It must not be moved after. */
void pair_forecast_init(struct pair_forecast *f, const struct house *house, struct stock *stock, int32_t today);
void pair_forecast_take(struct pair_forecast *f, const struct line *l);
void pair_forecast_flow(struct pair_forecast *f, const struct stock_flow *flow);

/* After bench_find(): the forecast, or NULL for no order and for one without a mass. */
const struct pair_forecast *pair_forecast_find(struct pair_forecast *f, const struct bench *bench, const struct order *order);
void pair_forecast_release(struct pair_forecast *f);

/* Of rows of the bench; a value of NAN: not known. */
struct prediction pair_forecast_of(const struct pair_forecast *f, size_t blade, size_t handle);

/* Half the width of the range that holds nine in ten. */
double pair_forecast_half(const struct prediction *at);

/* The chance that it lands: its own, or that of blades of its type and class; NAN where neither is known. */
double pair_forecast_chance(const struct pair_forecast *f, size_t blade, size_t handle);

/* How far the foretold mass is outside the range: above 0 too heavy, below 0 too light, 0 within or not known. */
double pair_forecast_off(const struct pair_forecast *f, size_t blade, size_t handle);
bool pair_forecast_misses(const struct pair_forecast *f, size_t blade, size_t handle);

/* The masses of a blade of that row's type with which that handle makes a bat in the range; false where no line rises. */
bool pair_forecast_blades(const struct pair_forecast *f, size_t blade, size_t handle, double *low_g, double *high_g);

#endif
