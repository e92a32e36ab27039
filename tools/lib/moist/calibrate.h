/*
 * calibrate.h - the oven tests of a book, and the table of the lines that its meters get from them.
 *
 * A test is a reading of a meter on an oven line with the masses of the same piece. Lines are taken in any
 * order by any number of collections, which are merged; nothing of the order shows in the table.
 * The house's own lines are not looked at: it is these that the table is for (meter_line.h).
 */
#ifndef WITHY_CALIBRATE_H
#define WITHY_CALIBRATE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "moist/meter_line.h"

struct house;
struct line;
struct table;

/* A piece that a meter read and the oven dried. */
struct calibrate_test {
	uint32_t meter;          /* in `meters`, with its setting */
	bool usable;             /* as a pair for the meter's line */
	struct meter_pair pair;
};

struct calibrate {
	const struct house *house; /* or NULL */
	struct intern meters;
	struct calibrate_test *list;
	size_t n, cap;
};

void calibrate_init(struct calibrate *t, const struct house *house);
void calibrate_release(struct calibrate *t);

/* Takes a good line; those of other events, and without a meter, are passed over. */
void calibrate_take(struct calibrate *t, const struct line *l);

void calibrate_merge(struct calibrate *into, const struct calibrate *from);

/* A row for each meter and setting. The table is initialized here and belongs to the caller. */
void calibrate_table(struct calibrate *tests, struct table *t);

#endif
