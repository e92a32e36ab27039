/*
 * due_filled.h - since when each place has held pieces without a break.
 */
#ifndef WITHY_DUE_FILLED_H
#define WITHY_DUE_FILLED_H

#include <stddef.h>
#include <stdint.h>

struct stock;
struct stock_flow;

struct due_filled {
	const struct stock *stock;
	int64_t *held;             /* pieces, by id of the place */
	int32_t *since;            /* the day; meaningless while there are none */
	size_t n;
};

void due_filled_init(struct due_filled *f, const struct stock *stock);
void due_filled_release(struct due_filled *f);

/* Before the run of the stock, and each of its flows. */
void due_filled_begin(struct due_filled *f);
void due_filled_flow(struct due_filled *f, const struct stock_flow *flow);

/* The day since which the place holds pieces; INT32_MIN where it holds none. */
int32_t due_filled_since(const struct due_filled *f, uint32_t place);

#endif
