/*
 * stock_movement.h - by form and type, the pieces that came in and went out from a day on.
 *
 *	start + in + found + returned + made - culled - sold - used = end
 *
 * `start` is the stock before the first day; `made` came from another form or type, and `used`
 * went into one.
 */
#ifndef WITHY_STOCK_MOVEMENT_H
#define WITHY_STOCK_MOVEMENT_H

#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"

struct moved_kind;
struct stock;
struct stock_flow;
struct table;

struct stock_movement {
	const struct stock *stock;
	int32_t since;             /* the first day that is counted */
	struct intern ids;         /* of form and type, as bytes */
	struct moved_kind *row;    /* by id - 1 */
	size_t nrows, rows_cap;
};

void stock_movement_init(struct stock_movement *m, const struct stock *s, int32_t since);
void stock_movement_release(struct stock_movement *m);

/* The stock_sink; its context is the `struct stock_movement`. */
void stock_movement_flow(void *context, const struct stock_flow *flow);

/*
 * After stock_run(): a row for each form and type of which pieces were there or moved, by form, then
 * by type. Initializes the table, which then belongs to the caller.
 */
void stock_movement_view(const struct stock_movement *m, int32_t today, struct table *t);

#endif
