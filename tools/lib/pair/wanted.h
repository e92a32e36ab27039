/*
 * wanted.h - which blades are wanted for bats, and how many: those of an order that are still to be made, or of a type, grade
 * and class.
 *
 * A bat that was made for the order (make for=) counts as made, and so does one that was sold for it and made for none.
 */
#ifndef WITHY_WANTED_H
#define WITHY_WANTED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/orders.h"

struct line;

#define WANTED_ALL INT64_MAX

struct wanted_item {
	uint32_t type, grade, class; /* STOCK_ANY where it does not matter */
	int64_t n;                 /* blades, or WANTED_ALL */
};

struct wanted {
	struct stock *stock;
	struct orders orders;
	bool *for_order;           /* by id of a bat: it was made for an order */
	size_t bats_cap;
	struct wanted_item *item;
	size_t n;
	const struct order *order; /* whose items these are, or NULL */
};

/* Without an item nothing is asked for in particular. `stock` is initialized. */
void wanted_init(struct wanted *w, struct stock *stock);
void wanted_release(struct wanted *w);

/* Takes a good line of `today` or before in; others than orders are passed over. */
void wanted_take(struct wanted *w, const struct line *l, int32_t today);

/* The stock_sink; its context is the `struct wanted`. */
void wanted_flow(void *context, const struct stock_flow *flow);

/*
 * After stock_run(): what is still open of an order on the day. False when there is none, or it is not for bats; then `why` says so
 * and what to write. An order that is met has no items.
 */
bool wanted_by_order(struct wanted *w, struct slice order, int32_t today, struct buf *why);

/* The same of a type, a grade and a class, each an empty slice for any, and a number, or WANTED_ALL. */
void wanted_kind(struct wanted *w, struct slice type, struct slice grade, struct slice class, int64_t n);

/* The first item that a blade fits, or w->n; 0 where nothing is asked for in particular. */
size_t wanted_item_of(const struct wanted *w, const struct stock_kind *kind);

#endif
