/*
 * frame.h - what all pictures are set in: the head, a plot with its axes, and the key.
 *
 * The axis below is the edge of a rule: ticks hang from it, the long ones with their text. Values have hairlines across
 * the plot and their texts to the left.
 */
#ifndef WITHY_FRAME_H
#define WITHY_FRAME_H

#include <stddef.h>

#include "chart/scale.h"
#include "chart/scene.h"

struct frame {
	double left, right, top, bottom; /* of the plot, px */
	struct scale x, y;
};

/* The scene's title, and below it what is shown. Returns the edge below. `shown` may be empty. */
double frame_head(struct scene *s, const char *shown);

/*
 * A plot from `top` on, with room for the texts of the axes below and left, and `room` px for labels to the right. An empty `unit` is
 * none: "%". The scales get their places; draws the hairlines and the axes, that below only with `rule`. The plot ends `FRAME_AXIS` px above what follows.
 */
enum { FRAME_AXIS = 28 };
struct frame frame_plot(struct scene *s, double top, double height, double room, struct scale x, struct scale y, const char *unit,
	bool rule);

/* The same without an axis of values: the left edge of the plot is `left`. */
struct frame frame_row(struct scene *s, double left, double top, double height, double room, struct scale x);

/* The axis below a plot. `every` texts nearer than so many px are left out. */
void frame_rule(struct scene *s, const struct frame *f, double apart);

/* A sample of a mark with its text. */
struct frame_key {
	struct look look;
	enum mark_kind kind;       /* MARK_LINE, MARK_RECT or MARK_SIGN */
	const char *text;
};

/* The key in as many lines as it takes, from `top` on. Returns the edge below. */
double frame_keys(struct scene *s, double top, const struct frame_key *key, size_t n);

#endif
