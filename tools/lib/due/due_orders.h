/*
 * due_orders.h - orders that are late, due, or short of pieces, and the charge or the clefts that would fill them.
 */
#ifndef WITHY_DUE_ORDERS_H
#define WITHY_DUE_ORDERS_H

struct due;
struct due_book;

/* Adds an item for each open order; those that are short are `ahead`. */
void due_orders_find(struct due *d, struct due_book *b);

#endif
