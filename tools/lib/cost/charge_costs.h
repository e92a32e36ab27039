/*
 * charge_costs.h - what each charge took: days, pieces, and by how much its wood dried.
 */
#ifndef WITHY_CHARGE_COSTS_H
#define WITHY_CHARGE_COSTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct cost_book;
struct stock_flow;

struct charge_cost {
	uint32_t charge;           /* an id */
	int32_t first, last;       /* the day of the first load, of the last pieces out so far */
	int64_t loaded, left;      /* pieces that went in and came out, culled ones too */
	double points, half;       /* of moisture that went, and how far off that may be to either side; NAN: not known */
	bool above;                /* more went: a first reading was beyond the scale */
};

struct charge_costs {
	const struct cost_book *book;
	struct charge_cost *row;
	size_t n, cap;
	uint32_t *at;              /* by id: index + 1 */
	size_t nids;
};

/* After all lines are in; `nids` are the ids of the stock. */
void charge_costs_init(struct charge_costs *c, const struct cost_book *book, size_t nids);
void charge_costs_release(struct charge_costs *c);

/* The stock_sink; its context is the `struct charge_costs`. */
void charge_costs_flow(void *context, const struct stock_flow *flow);

/* Says by how many points the wood of a charge dried, as above; one that was never loaded is passed over. */
void charge_costs_points(struct charge_costs *c, uint32_t charge, double points, double half, bool above);

#endif
