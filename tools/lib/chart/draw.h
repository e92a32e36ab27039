/*
 * draw.h - a function a kind of picture, for picture.c; the draw_*.c have them.
 *
 * Each writes the scene's title (the finding, no full stop) and its description, and lays out the picture for the
 * scene's width and sets its height. False when the tables do not serve; the error of `g` says why.
 */
#ifndef WITHY_DRAW_H
#define WITHY_DRAW_H

#include <stdbool.h>

#include "chart/frame.h"
#include "chart/given.h"
#include "chart/picture_say.h"

typedef bool draw_kind(struct scene *s, const struct given *g);

draw_kind draw_drying, draw_orders, draw_store, draw_steps, draw_grades, draw_ends, draw_weights, draw_ages, draw_readings, draw_origin,
	draw_cost, draw_forecasts;

#endif
