/*
 * open_orders.h - the orders that are open on a day, and the pieces that they can have.
 *
 * Pieces are given to the orders as they fall due, and no piece twice. A bat that came back is given to
 * none before it is finished once more.
 */
#ifndef WITHY_OPEN_ORDERS_H
#define WITHY_OPEN_ORDERS_H

#include <stdint.h>

#include "stock/bat_facts.h"
#include "stock/orders.h"

struct line;
struct table;

struct open_orders {
	struct orders orders;
	struct bat_facts bats;
	struct stock *stock;
	int32_t today;
};

/* Before any line; lines after `today` do not count. */
void open_orders_init(struct open_orders *o, struct stock *s, int32_t today);
void open_orders_release(struct open_orders *o);

/* Takes in a good line about orders or bats; others are skipped. */
void open_orders_add(struct open_orders *o, const struct line *l);

/* The stock_sink; its context is the `struct open_orders`. */
void open_orders_flow(void *context, const struct stock_flow *flow);

/*
 * After stock_run(), once: a row for each item that is not yet met, in the order in which they are
 * due. Initializes the table, which then belongs to the caller.
 */
void open_orders_view(struct open_orders *o, struct table *t);

#endif
