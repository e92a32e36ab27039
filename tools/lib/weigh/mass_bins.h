/*
 * mass_bins.h - how many finished bats of each type weigh how much, in steps of mass, and how many the weighed blanks in
 * stock would add.
 *
 * A step holds the masses from its low end up to, and without, the next. Steps between the lightest and the heaviest of a type are
 * there even if no bat is in them, for a picture.
 */
#ifndef WITHY_MASS_BINS_H
#define WITHY_MASS_BINS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct wanted;
struct weigh_ask;
struct weigh_parts;

struct mass_bin {
	struct slice type;         /* empty where it is not known */
	uint32_t id;
	int64_t low;               /* in steps from 0 */
	int64_t bats;
	double expected;           /* of the weighed blanks in stock */
};

struct mass_bins {
	struct mass_bin *row;      /* by type, then by mass */
	size_t n, cap;
	double step_g;
	int64_t bats, most;        /* of all rows; the most of one */
};

enum { MASS_BINS_MOST = 10000 };

/* `w` is of the ask without a range. Of a step so small that there would be more than MASS_BINS_MOST, none. */
void mass_bins_find(struct mass_bins *b, const struct weigh_parts *parts, const struct weigh_ask *ask, const struct wanted *w, double step_g);

/* A step as it was written, in g. In ounces it is exact: many times a step must not come off by what it was rounded by. */
double mass_bins_step_g(int64_t micrograms, bool ounces);
void mass_bins_release(struct mass_bins *b);

#endif
