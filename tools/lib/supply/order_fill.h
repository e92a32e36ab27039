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
 * charge. Each adds a beta-binomial number of blades of the grade (grade_odds.h), as far as the order can use them: of its class,
 * and for bats of its mass (order_match.h). What other needs for the same are missing is taken off, see order_fill_others().
 * The charge named is the first with which all missing pieces are there with a chance of one half;
 * without such a one, the last that adds any. Of bats for a mass it is a chance of OPEN_ORDERS_SURE, for those that blades in stock
 * may bring have their part in it; where no wood is under way, "stock" is named. Charges are taken as independent of each other.
 *
 * The day is when the charge may come out. Planing, grading and, for a bat, making come after it.
 * A forecast is only made of charges with wood of a type that is short, if the wood out of the kiln does not fill it.
 */
#ifndef WITHY_ORDER_FILL_H
#define WITHY_ORDER_FILL_H

#include "stock/open_orders.h"
#include "supply/order_match.h"
#include "supply/under_way.h"

struct order_supply {
	struct open_orders orders;
	struct under_way under_way;
	struct order_match match;
	struct order_source *source; /* after order_supply_fill() */
};

/* `house` may be NULL. It must not be moved after. */
void order_supply_init(struct order_supply *o, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today);
void order_supply_release(struct order_supply *o);
void order_supply_add(struct order_supply *o, const struct line *l, int64_t utc_s);
void order_supply_begin(struct order_supply *o);
void order_supply_flow(void *context, const struct stock_flow *flow); /* the stock_sink */

/* After stock_run(): settles the charges, and gives the pieces to the orders; the two parts of that, which two threads may do at the same time. */
void order_supply_end(struct order_supply *o);
void order_supply_settle(struct order_supply *o);
void order_supply_give(struct order_supply *o);

/* Finds the sources. This makes the forecasts. */
void order_supply_fill(struct order_supply *o);

struct table;

/* Finds the sources too, and initializes the table of the orders (open_orders.h), with what chances for a class or a mass are from. */
void order_supply_view(struct order_supply *o, struct table *t);

/* Whether blades are missing that wood under way, or to be loaded, can become. */
bool order_fill_is_wood(const struct order_need *need);

/* Whether it is not sure that blades in stock for bats of a mass will land in it. */
bool order_fill_is_unsure(const struct order_need *need);

/* Whether two types, grades or classes can be the same: STOCK_ANY is any. */
bool order_fill_overlap(uint32_t a, uint32_t b);

/*
 * The missing pieces of other needs that may have the same wood: of those before this one; and of those that can use nothing but what this one
 * can, such as a class or a mass of it, whenever they are due. From what only this one can use, a need that can also use others
 * gets none: who asks for less gets what others cannot use.
 */
int64_t order_fill_others(const struct open_orders *o, size_t need);

/* How many pieces the need must get out of stock that may land, and of wood; and what is sure of that: masses of 0 to `most`, the caller's. */
int64_t order_fill_wanted(const struct order_need *need);
double *order_fill_start(const struct order_need *need, int64_t most);

/* How many pieces of the type (STOCK_ANY: of all) are under way. Masses for more than these and one are all 0. */
int64_t order_fill_pieces(const struct under_way *u, uint32_t type);

/* Of a piece of that wood that is in the step: the proportion that serves the need, of pieces of so many batches. */
struct beta order_fill_odds(struct order_supply *o, const struct order_need *need, struct grade_odds_wood wood, enum grade_odds_step step, double batches);

/* Adds the blades that a part brings for a need to masses 0 to `most`, the last of `most` and more. */
void order_fill_gather(struct order_supply *o, const struct under_way_part *part, const struct order_need *need, int64_t most, double *sum);

/* All that is under way, for a need. The caller frees the masses. */
double *order_fill_coming(struct order_supply *o, const struct order_need *need, int64_t most);

/*
 * For blades of a type and grade (STOCK_ANY: any): the masses P(0), P(1) ... P(most or more) of how many all that is under
 * way will bring. The caller frees them.
 */
double *order_fill_masses(struct under_way *u, uint32_t type, uint32_t grade, int64_t most);

#endif
