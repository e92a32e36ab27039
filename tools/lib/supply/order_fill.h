/*
 * order_fill.h - which charge under way will fill the missing pieces of the orders, with which chance, and when.
 *
 *	order_supply_init(&o, house, zone, &stock, today);
 *	... order_supply_add() with every event line up to that day, and the line to the stock ...
 *	order_supply_begin(&o);
 *	stock_run(&stock, today, order_supply_flow, &o);
 *	order_supply_end(&o);
 *	order_supply_fill(&o);          (o.source has one for each of o.orders.need)
 *
 * For a need, the wood of its type is taken in the order in which it is ready: what is out of the kiln first, then charge by
 * charge. Each adds a beta-binomial number of blades of the grade (grade_odds.h). What earlier needs for the same are missing is taken off.
 * The charge named is the first with which all missing pieces are there with a chance of one half;
 * without such a one, the last that adds any. Charges are taken as independent of each other.
 *
 * The day is when the charge may come out. Planing, grading and, for a bat, making come after it.
 * A forecast is only made of charges with wood of a type that is short, if the wood out of the kiln does not fill it.
 */
#ifndef WITHY_ORDER_FILL_H
#define WITHY_ORDER_FILL_H

#include "stock/open_orders.h"
#include "supply/under_way.h"

struct order_supply {
	struct open_orders orders;
	struct under_way under_way;
	struct order_source *source; /* after order_supply_fill() */
};

/* `house` may be NULL. It must not be moved after order_supply_begin(). */
void order_supply_init(struct order_supply *o, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today);
void order_supply_release(struct order_supply *o);
void order_supply_add(struct order_supply *o, const struct line *l, int64_t utc_s);
void order_supply_begin(struct order_supply *o);
void order_supply_flow(void *context, const struct stock_flow *flow); /* the stock_sink */

/* After stock_run(): gives the pieces to the orders. */
void order_supply_end(struct order_supply *o);

/* Finds the sources. This makes the forecasts. */
void order_supply_fill(struct order_supply *o);

/* Whether blades are missing that wood under way, or to be loaded, can become. */
bool order_fill_is_wood(const struct order_need *need);

/* Whether two types, or two grades, can be the same: STOCK_ANY is any. */
bool order_fill_overlap(uint32_t a, uint32_t b);

/* The missing pieces of the needs before this one that may have the same wood. */
int64_t order_fill_before(const struct open_orders *o, size_t need);

/* How many pieces of the type (STOCK_ANY: of all) are under way. Masses for more than these and one are all 0. */
int64_t order_fill_pieces(const struct under_way *u, uint32_t type);

/* Adds the blades of that grade (STOCK_ANY: any) that a part brings to masses 0 to `most`, the last of `most` and more. */
void order_fill_gather(const struct under_way *u, const struct under_way_part *part, uint32_t grade, int64_t most, double *sum);

/*
 * For blades of a type and grade (STOCK_ANY: any): the masses P(0), P(1) ... P(most or more) of how many all that is under
 * way will bring. The caller frees them.
 */
double *order_fill_masses(struct under_way *u, uint32_t type, uint32_t grade, int64_t most);

#endif
