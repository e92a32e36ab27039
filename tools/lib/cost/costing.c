#include "cost/costing.h"

#include <stdlib.h>

const char *const cost_by_words[] = { "tree", "parcel", "supplier", "lot", "charge", "month", "type", "grade", "stage", "form", "place", NULL };

void costing_init(struct costing *c, const struct cost_ask *ask, const struct house *house, struct stock *stock)
{
	*c = (struct costing){ .ask = ask, .stock = stock };
	cost_book_init(&c->book, house, &stock->ids);
	c->book.by_sales = ask->by_sales;
}

void costing_release(struct costing *c)
{
	if (c->ready) {
		carry_release(&c->carry);
		spread_out_release(&c->out);
		holdings_release(&c->holdings);
	}
	cost_book_release(&c->book);
	free(c->lost);
	*c = (struct costing){ .ask = NULL };
}

void costing_add(struct costing *c, const struct line *l)
{
	cost_book_add(&c->book, l);
}

void costing_read(struct costing *c)
{
	cost_book_end(&c->book, c->ask->today);
	c->lost = mem_zeroed(c->book.nelements, sizeof *c->lost);
	holdings_init(&c->holdings, c->stock, &c->book, c->ask->mean);
	spread_out_init(&c->out, &c->holdings, &c->book, c->lost);
	c->out.recording = c->ask->lines;
	carry_init(&c->carry, &c->holdings, &c->out, c->ask->since, c->ask->today);
	c->ready = true;
}

void costing_tell_losses(struct costing *c, carry_loss_sink *sink, void *context)
{
	c->carry.lose = sink;
	c->carry.lose_context = context;
}

void costing_flow(void *context, const struct stock_flow *flow)
{
	struct costing *c = context;

	carry_flow(&c->carry, flow);
}

void costing_end(struct costing *c, const struct provenance *origins)
{
	carry_end(&c->carry);
	c->origins = origins;
}
