/*
 * charge_stock.h - what the stock says of the charges: when each was emptied, and what each holds.
 *
 * Before stock_run() all lines must be in the charges and in the stock. Then its flows go to
 * charge_stock_flow(), and charge_stock_end() settles the charges.
 */
#ifndef WITHY_CHARGE_STOCK_H
#define WITHY_CHARGE_STOCK_H

#include <stddef.h>
#include <stdint.h>

struct charges;
struct stock;
struct stock_flow;

struct charge_stock {
	struct charges *charges;
	const struct stock *stock;
	int64_t *held;             /* pieces in each place, by id of the stock */
	size_t nheld;
};

void charge_stock_init(struct charge_stock *c, struct charges *charges, const struct stock *stock);

/* The stock_sink; its context is the `struct charge_stock`. */
void charge_stock_flow(void *context, const struct stock_flow *flow);

/* After stock_run(): settles the charges and releases `c`. */
void charge_stock_end(struct charge_stock *c);

#endif
