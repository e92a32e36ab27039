#include "dry/charge_stock.h"

#include <stdlib.h>

#include "dry/charges.h"
#include "stock/stock.h"

void charge_stock_init(struct charge_stock *c, struct charges *charges, const struct stock *stock)
{
	*c = (struct charge_stock){ .charges = charges, .stock = stock, .nheld = stock->ids.n };
	c->held = mem_zeroed(c->nheld, sizeof *c->held);
}

static int64_t *held_at(struct charge_stock *c, uint32_t place)
{
	return place < c->nheld ? &c->held[place] : NULL;
}

static int64_t instant_of(const struct charge_stock *c, const struct stock_op *op)
{
	int64_t utc_s = stock_op_utc_s(op);

	return utc_s == INT64_MIN ? charges_day_end(c->charges, op->day) - DAY_S / 2 : utc_s; /* without a time: noon */
}

/* A charge is over when it is empty, until it is loaded again. */
void charge_stock_flow(void *context, const struct stock_flow *f)
{
	struct charge_stock *c = context;
	int64_t *from = f->from.lot ? held_at(c, f->from.place) : NULL;
	int64_t *to = f->change != STOCK_LOST ? held_at(c, f->to.place) : NULL;

	if (f->change == STOCK_CAME_OFF)
		return; /* it was in a bat, and is in no place */
	if (to && *to == 0)
		charges_end(c->charges, stock_text(c->stock, f->to.place), INT64_MAX);
	if (from)
		*from -= f->n;
	if (to)
		*to += f->n;
	if (from && *from == 0)
		charges_end(c->charges, stock_text(c->stock, f->from.place), instant_of(c, f->op));
}

void charge_stock_end(struct charge_stock *c)
{
	charges_settle(c->charges);
	for (size_t i = 0; i < c->charges->n; i++) {
		struct dry_case *one = &c->charges->cases[i];
		uint32_t id = intern_find(&c->stock->ids, one->id);

		one->held = id && id < c->nheld ? c->held[id] : one->pieces;
	}
	free(c->held);
}
