/*
 * open_orders.h - the orders that are open on a day, and the pieces that they can have.
 *
 * Pieces are given to the orders as they fall due, and no piece twice. A bat that came back is given to
 * none before it is finished once more.
 *
 * Of blades for bats of a mass only some will land in it. An order is given as many blades as it asks for, but those count as to be
 * made that land with a chance of OPEN_ORDERS_SURE; the rest is missing. How many land is asked of `lands`, because what is
 * known of masses is not in this room (order_match.h); without it all do.
 */
#ifndef WITHY_OPEN_ORDERS_H
#define WITHY_OPEN_ORDERS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/bat_facts.h"
#include "stock/orders.h"

struct line;
struct table;

/* What one item of an order still needs, and what it was given. open = in_stock + to_make + missing. */
struct order_need {
	const struct order *order;
	const struct order_item *item;
	int64_t open;              /* wanted and not sold */
	int64_t in_stock;          /* there, as they were ordered */
	int64_t to_make;           /* there as blades, or as bats that are not weighed yet */
	int64_t missing;
	double *lands;             /* of an order for a mass: masses 0 to open - in_stock of how many of those in stock land in it; else NULL */
};

/* What will fill the missing pieces of a need, as order_fill.h finds it. */
struct order_source {
	struct slice charge;       /* the charge that fills it, the last of several; empty: none is under way */
	size_t charges;            /* how many it takes */
	int64_t likely;            /* so many of the missing pieces or more with a chance of one half */
	double chance;             /* that all missing pieces will be there */
	int64_t unknown;           /* pieces under way of its type, of which nobody knows what they become: no blade was graded yet (grade_odds_known()); all else is then 0 */
	int32_t ready, ready_low, ready_high; /* days: the median, and 90 % of the forecast; INT32_MAX: not known, or never */
};

#define OPEN_ORDERS_SURE 0.9

struct open_orders;

/*
 * How many bats of an item can be made of `piece` that land in the mass of the order: masses of 0 to `most`, the last of as many or more, which
 * then belong to the caller.
 */
typedef double *open_orders_lands(void *context, const struct open_orders *o, const struct order *order, const struct order_item *item, int64_t most);

struct open_orders {
	open_orders_lands *lands;  /* the caller's to set, or NULL */
	void *context;             /* of it */
	struct orders orders;
	struct bat_facts bats;
	struct stock *stock;
	int32_t today;
	/* after open_orders_give(): */
	struct order_piece *piece; /* those that can be given: `n` is what is free of them, `there` how many there are */
	size_t npieces;
	struct order_need *need;   /* items that are not met, in the order in which they are due */
	size_t nneeds, needs_cap;
};

/* Before any line; lines after `today` do not count. */
void open_orders_init(struct open_orders *o, struct stock *s, int32_t today);
void open_orders_release(struct open_orders *o);

/* Takes in a good line about orders or bats; others are skipped. */
void open_orders_add(struct open_orders *o, const struct line *l);

/* The stock_sink; its context is the `struct open_orders`. */
void open_orders_flow(void *context, const struct stock_flow *flow);

/* Whether the pieces of a bucket can be given to an order. */
bool open_orders_can_give(const struct open_orders *o, const struct stock_bucket *b);

/* After stock_run(), once: gives pieces to the orders. */
void open_orders_give(struct open_orders *o);

/* How many pieces are under way of the types of need[first..end) of which nobody knows what they become. */
int64_t open_orders_unknown(const struct open_orders *o, const struct order_source *source, size_t first, size_t end);

/*
 * After open_orders_give(): a row for each need. `source` has one for each; NULL leaves its columns out.
 * Initializes the table, which then belongs to the caller.
 */
void open_orders_view(const struct open_orders *o, const struct order_source *source, struct table *t);

#endif
