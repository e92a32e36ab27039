/*
 * stock_batches.h - the stock on a day as a state (table/partial.h), and a stock out of states.
 *
 * A state has a row for each batch that is there: pieces of one lot, place, form, type, grade and class that took this form on
 * one day. So it serves any keys of stock_view.h but the age. Its second set, `whole`, has the lots and charges of all its
 * stock lines (stock_whole.h). The settings are the day: stocks of two days do not add up.
 */
#ifndef WITHY_STOCK_BATCHES_H
#define WITHY_STOCK_BATCHES_H

#include <stdbool.h>
#include <stdint.h>

#include "stock/stock_whole.h"

enum { STOCK_BATCHES_SETS = 2 };

struct stock_batches {
	struct groups rows, whole;
	struct groups *set[STOCK_BATCHES_SETS];
};

void stock_batches_init(struct stock_batches *b);
void stock_batches_release(struct stock_batches *b);

void stock_batches_settings(int32_t today, struct buf *out);

/* After stock_run(): all that is there. What `whole` needs is taken from the stock before that. */
void stock_batches_take(struct stock_batches *b, const struct stock *s);

/* Instead of stock_run(), for a stock without lines: has what the states have. False when a row is not one that stock_batches_take() makes. */
bool stock_batches_give(const struct stock_batches *b, struct stock *s);

#endif
