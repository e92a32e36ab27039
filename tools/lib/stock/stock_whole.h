/*
 * stock_whole.h - the lots and charges of a part of a book, as a set of a state (table/partial.h) that says what has to be whole.
 *
 * A stock line can only be carried out if all lines of its lots, and of the charges that they went through, are in the same
 * part of the book. So none of these may be in two states that are merged. The set is their `once`.
 */
#ifndef WITHY_STOCK_WHOLE_H
#define WITHY_STOCK_WHOLE_H

#include "stock/stock.h"
#include "table/group.h"

/* Its groups have the keys "lot" or "charge" and the id. */
extern const struct groups_plan stock_whole_plan;

/* After all lines were added to the stock, before it runs. */
void stock_whole_find(const struct stock *s, struct groups *whole);

#endif
