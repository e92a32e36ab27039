/*
 * order_fill.h - which charge under way will fill the missing pieces of the orders, with which chance, and when.
 *
 *	open_orders_give(&orders);
 *	source = order_fill(&orders, &under_way);    (one for each need; the caller frees it)
 *
 * For a need, the wood of its type is taken in the order in which it is ready: what is out of the kiln first, then charge by
 * charge. Each adds a beta-binomial number of blades of the grade (grade_odds.h). What earlier needs for the same are missing is taken off.
 * The charge named is the first with which all missing pieces are there with a chance of one half;
 * without such a one, the last that adds any. Charges are taken as independent of each other.
 *
 * The day is when the charge may come out. Planing, grading and, for a bat, making come after it.
 * A forecast is only made of charges with wood of a type that is short.
 */
#ifndef WITHY_ORDER_FILL_H
#define WITHY_ORDER_FILL_H

#include "stock/open_orders.h"

struct under_way;

struct order_source *order_fill(const struct open_orders *orders, struct under_way *u);

/*
 * For blades of a type and grade (STOCK_ANY: any): the masses P(0), P(1) ... P(most or more) of how many all that is under
 * way will bring. The caller frees them.
 */
double *order_fill_masses(struct under_way *u, uint32_t type, uint32_t grade, int64_t most);

#endif
