/*
 * stock_takes.h - what stock-takes found: every tally that did not find what the book had, in pieces and money.
 *
 *	booked = counted + missing - found
 *
 * `booked` is what the book had. The value of a difference is the mean cost of the pieces of that lot, place, form, type and
 * grade just before the tally (holdings.h), times the pieces. A tally of pieces that the book had none of is an opening and no
 * difference; it is only counted.
 */
#ifndef WITHY_STOCK_TAKES_H
#define WITHY_STOCK_TAKES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cost/costing.h"

struct table;

/* One tally line. */
struct stock_taken {
	struct stock_op op;        /* without its items */
	struct stock_kind kind;
	int64_t booked, counted, missing, found;
	int64_t value;             /* of all that was booked, minor units */
};

struct stock_takes {
	const struct stock *stock;
	struct costing *costing;
	int32_t since;
	struct stock_taken *row;    /* by day, place, lot, type, grade */
	size_t n, cap;
};

/* `costing` has read its book; each flow goes there first. `since` may be INT32_MIN. */
void stock_takes_init(struct stock_takes *s, const struct stock *stock, struct costing *costing, int32_t since);
void stock_takes_release(struct stock_takes *s);

/* The stock_sink; hands the flow on to the costing. */
void stock_takes_flow(void *context, const struct stock_flow *flow);

/* After stock_run(): puts the tallies in the order of their days, places and lots. */
void stock_takes_end(struct stock_takes *s);

/*
 * After that: a row for each tally that found a difference. Initializes the table, which then belongs to the
 * caller. Returns how many tallies there were, openings left out.
 */
size_t stock_takes_view(const struct stock_takes *s, int32_t today, const char *const *path, struct table *t);

#endif
