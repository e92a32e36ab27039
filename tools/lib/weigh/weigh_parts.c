#include "weigh/weigh_parts.h"

#include <stdlib.h>

#include "book/line.h"

void weigh_parts_init(struct weigh_parts *p, const struct house *house, struct stock *stock, int32_t today)
{
	*p = (struct weigh_parts){ .stock = stock, .today = today };
	orders_init(&p->orders);
	weigh_book_init(&p->book, house, &stock->ids);
	blade_stock_init(&p->blades, stock);
}

void weigh_parts_release(struct weigh_parts *p)
{
	landings_release(&p->landings);
	mass_lines_release(&p->lines);
	mass_pairs_release(&p->pairs);
	blanks_release(&p->blanks);
	free(p->left);
	blade_stock_release(&p->blades);
	weigh_book_release(&p->book);
	orders_release(&p->orders);
}

void weigh_parts_take(void *context, const struct line *l)
{
	struct weigh_parts *p = context;

	weigh_book_take(&p->book, l);
	if (l->event->id == EVENT_ORDER)
		orders_add(&p->orders, p->stock, l, p->today);
}

void weigh_parts_end(struct weigh_parts *p)
{
	weigh_book_end(&p->book);
	if (!p->as_weighed)
		scale_correction_apply(&p->corrected, &p->book, p->today);
	blade_stock_end(&p->blades, &p->book.stated);
}

void weigh_parts_run(struct weigh_parts *p)
{
	stock_run(p->stock, p->today, blade_stock_flow, &p->blades);
	weigh_parts_end(p);
}

static void list_left(struct weigh_parts *p)
{
	p->left = mem_array(p->blanks.n, sizeof *p->left);
	for (size_t i = 0; i < p->blanks.n; i++)
		if (!p->blanks.row[i].bat && blade_stock_is_here(&p->blades, p->blanks.row[i].lot))
			p->left[p->nleft++] = (uint32_t)i;
}

void weigh_parts_fit(struct weigh_parts *p, double issue_pct, enum mass_key by, uint32_t type)
{
	blanks_find(&p->blanks, &p->book, issue_pct);
	blade_stock_name_types(&p->blades, &p->blanks);
	mass_pairs_find(&p->pairs, &p->blanks, &p->book, &p->blades, type);
	list_left(p);
	mass_lines_find(&p->lines, &p->pairs, by, p->book.house, &p->stock->ids);
}
