#include "dry/charge_stock.h"

#include <stdlib.h>

#include "dry/charges.h"
#include "stock/stock.h"
#include "time/calendar.h"

void charge_stock_init(struct charge_stock *c, struct charges *charges, const struct stock *stock)
{
	*c = (struct charge_stock){ .charges = charges, .stock = stock, .nheld = stock->ids.n };
	c->held = mem_zeroed(c->nheld, sizeof *c->held);
}

/* A charge is over when it is empty. */
void charge_stock_flow(void *context, const struct stock_flow *f)
{
	struct charge_stock *c = context;
	int64_t utc_s = stock_op_utc_s(f->op);

	if (utc_s == INT64_MIN) /* without a time: noon */
		utc_s = charges_day_end(c->charges, f->op->day) - DAY_S / 2;
	if (f->from.lot && f->from.place < c->nheld)
		c->held[f->from.place] -= f->n;
	if (f->change != STOCK_LOST && f->to.place < c->nheld)
		c->held[f->to.place] += f->n;
	if (f->from.lot && f->from.place < c->nheld && c->held[f->from.place] == 0)
		charges_end(c->charges, stock_text(c->stock, f->from.place), utc_s);
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
