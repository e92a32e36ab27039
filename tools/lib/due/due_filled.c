#include "due/due_filled.h"

#include <stdlib.h>

#include "stock/stock.h"

void due_filled_init(struct due_filled *f, const struct stock *stock)
{
	*f = (struct due_filled){ .stock = stock };
}

void due_filled_release(struct due_filled *f)
{
	free(f->held);
	free(f->since);
}

void due_filled_begin(struct due_filled *f)
{
	f->n = f->stock->ids.n;
	f->held = mem_zeroed(f->n, sizeof *f->held);
	f->since = mem_zeroed(f->n, sizeof *f->since);
}

static void change(struct due_filled *f, uint32_t place, int64_t by, int32_t day)
{
	if (place >= f->n)
		return;
	if (by > 0 && f->held[place] == 0)
		f->since[place] = day;
	f->held[place] += by;
}

/* A place whose pieces change without leaving it is not empty in between. */
void due_filled_flow(struct due_filled *f, const struct stock_flow *flow)
{
	bool from = flow->from.lot && flow->change != STOCK_CAME_OFF, to = flow->change != STOCK_LOST && flow->change != STOCK_CAME_OFF;

	if (from && to && flow->from.place == flow->to.place)
		return;
	if (from)
		change(f, flow->from.place, -flow->n, flow->op->day);
	if (to)
		change(f, flow->to.place, flow->n, flow->op->day);
}

int32_t due_filled_since(const struct due_filled *f, uint32_t place)
{
	return place < f->n && f->held[place] > 0 ? f->since[place] : INT32_MIN;
}
