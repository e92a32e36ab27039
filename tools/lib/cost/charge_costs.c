#include "cost/charge_costs.h"

#include <math.h>
#include <stdlib.h>

#include "cost/cost_book.h"
#include "stock/stock.h"

void charge_costs_init(struct charge_costs *c, const struct cost_book *book, size_t nids)
{
	*c = (struct charge_costs){ .book = book, .nids = nids };
	c->at = mem_zeroed(nids, sizeof *c->at);
}

void charge_costs_release(struct charge_costs *c)
{
	free(c->row);
	free(c->at);
	*c = (struct charge_costs){ .book = NULL };
}

/* The row of a place, or NULL if it is not a charge. */
static struct charge_cost *row_of(struct charge_costs *c, uint32_t place, int32_t day)
{
	if (place >= c->nids || !(cost_book_role(c->book, place) & COST_CHARGE))
		return NULL;
	if (!c->at[place]) {
		c->row = mem_grow(c->row, &c->cap, c->n + 1, sizeof *c->row);
		c->row[c->n++] = (struct charge_cost){ .charge = place, .first = day, .last = day, .points = NAN, .half = NAN };
		c->at[place] = (uint32_t)c->n;
	}
	return &c->row[c->at[place] - 1];
}

void charge_costs_flow(void *context, const struct stock_flow *f)
{
	struct charge_costs *c = context;
	struct charge_cost *row;

	if (f->from.lot && f->from.place == f->to.place)
		return;
	if ((row = row_of(c, f->to.place, f->op->day)))
		row->loaded += f->n;
	if (f->from.lot && (row = row_of(c, f->from.place, f->op->day))) {
		row->left += f->n;
		row->last = f->op->day;
	}
}

void charge_costs_points(struct charge_costs *c, uint32_t charge, double points, double half, bool above)
{
	struct charge_cost *row;

	if (charge >= c->nids || !c->at[charge])
		return;
	row = &c->row[c->at[charge] - 1];
	row->points = points;
	row->half = half;
	row->above = above;
}
