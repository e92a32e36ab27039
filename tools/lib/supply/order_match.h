/*
 * order_match.h - what part of the blades of a type and grade an order can use, if it asks for a weight class or for a mass.
 *
 * A class is that of class_odds.h, a mass that of landing.h: the bat of a blade lands in the range, with what rounds into it. The
 * two are independent of each other, but that the chance of landing is that of blades of the class.
 *
 * For blades in stock the masses of those that were weighed are used (weigh_wanted.h), as in wy-weigh --order. Blades of which some were
 * given to orders before are left in that proportion.
 *
 * Where fewer than MASS_PAIRS_LEAST blanks or bats of a type were weighed, the mass is left out, and order_match_say() says so.
 *
 * Where no order asks for either, nothing is worked out.
 */
#ifndef WITHY_ORDER_MATCH_H
#define WITHY_ORDER_MATCH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "weigh/class_odds.h"
#include "weigh/weigh_wanted.h"

struct match_wanted;
struct open_orders;
struct order_need;

struct order_match {
	struct weigh_parts weigh;
	bool asked;                /* an order of the book asks for a class or a mass */
	struct class_odds classes;
	uint32_t *kind_of;         /* by piece of the open orders, after the first question */
	struct match_wanted *wanted; /* what was asked of blades last */
	size_t nwanted;
};

/* `house` may be NULL. It must not be moved after. */
void order_match_init(struct order_match *m, const struct house *house, struct stock *stock, int32_t today);
void order_match_release(struct order_match *m);
void order_match_add(struct order_match *m, const struct line *l);

/* After all lines, before the stock is run. */
void order_match_begin(struct order_match *m);
void order_match_flow(struct order_match *m, const struct stock_flow *flow);

/* After stock_run(). */
void order_match_end(struct order_match *m);

/* Whether the item asks for a class or a mass. */
bool order_match_asks(const struct order *order, const struct order_item *item);

/* The proportion of blades of a type, and of the item's grade, that the order can use, in pieces of so many lots. All: a beta with a `b` of 0. */
struct beta order_match_odds(struct order_match *m, const struct order *order, const struct order_item *item, uint32_t type, double lots);

/* What the chance is from: "the class by 80 pieces that have one, the mass by 96 blanks". Nothing where neither is asked for. */
void order_match_say(const struct order_match *m, const struct order *order, const struct order_item *item, struct buf *out);

/* The open_orders_lands; its context is the `struct order_match`. NULL where nothing is known of the masses of the type. */
double *order_match_lands(void *context, const struct open_orders *o, const struct order *order, const struct order_item *item, int64_t most);

#endif
