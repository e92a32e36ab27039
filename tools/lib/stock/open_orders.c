#include "stock/open_orders.h"

#include <stdlib.h>

#include "book/parse.h"
#include "house/house.h"

void open_orders_init(struct open_orders *o, struct stock *s, int32_t today)
{
	*o = (struct open_orders){ .stock = s, .today = today };
	orders_init(&o->orders);
	bat_facts_init(&o->bats, &s->ids);
}

void open_orders_release(struct open_orders *o)
{
	orders_release(&o->orders);
	bat_facts_release(&o->bats);
	for (size_t i = 0; i < o->nneeds; i++)
		free(o->need[i].lands);
	free(o->piece);
	free(o->need);
}

/* ---- taking in */

void open_orders_add(struct open_orders *o, const struct line *l)
{
	if (l->stamp.day > o->today)
		return;
	if (l->event->id == EVENT_ORDER)
		orders_add(&o->orders, o->stock, l, o->today);
	bat_facts_add(&o->bats, l);
}

void open_orders_flow(void *context, const struct stock_flow *f)
{
	struct open_orders *o = context;
	struct order *order = f->op->order && f->to.place == o->stock->sold ? orders_find(&o->orders, f->op->order) : NULL;

	if (order)
		order_meet(order, &f->from, f->n);
}

/* ---- giving */

static struct order_piece piece_of(const struct open_orders *o, const struct stock_bucket *b)
{
	const struct stock_kind *k = &b->kind;

	return (struct order_piece){ *k, b->n, bat_facts_mass(&o->bats, k->lot), stock_text(o->stock, k->lot),
		stock_text(o->stock, k->type), stock_text(o->stock, k->grade), stock_text(o->stock, k->place),
		house_grade_order(o->stock->house, o->today, stock_text(o->stock, k->grade)), b->n };
}

bool open_orders_can_give(const struct open_orders *o, const struct stock_bucket *b)
{
	bool back = b->kind.form == FORM_BAT && bat_facts_is_back(&o->bats, b->kind.lot);

	return b->n > 0 && b->kind.place != o->stock->sold && !back;
}

/* The pieces that can be given to orders, in their order. */
static void collect_pieces(struct open_orders *o)
{
	size_t nbuckets;
	const struct stock_bucket *b = stock_buckets(o->stock, &nbuckets);

	o->piece = mem_array(nbuckets, sizeof *o->piece);
	for (size_t i = 0; i < nbuckets; i++)
		if (open_orders_can_give(o, &b[i]))
			o->piece[o->npieces++] = piece_of(o, &b[i]);
	orders_queue(o->piece, o->npieces);
}

/* How many there are with that chance. */
static int64_t surely(const double *mass, int64_t most)
{
	double chance = 0;
	int64_t n = most;

	for (; n > 0; n--)
		if ((chance += mass[n]) >= OPEN_ORDERS_SURE)
			break;
	return n;
}

/* What is given is promised to the order, whether it lands or not. */
static void give_to_make(struct open_orders *o, struct order_need *need)
{
	int64_t most = need->open - need->in_stock;

	if (o->lands && most && order_has_mass(need->order))
		need->lands = o->lands(o->context, o, need->order, need->item, most);
	need->to_make = order_take(need->order, need->item, ORDER_TO_MAKE, o->piece, o->npieces, most);
	if (need->lands)
		need->to_make = surely(need->lands, most);
}

static void give_item(struct open_orders *o, const struct order *order, const struct order_item *item)
{
	struct order_need need = { .order = order, .item = item, .open = item->wanted - item->met };

	need.in_stock = order_take(order, item, ORDER_AS_IT_IS, o->piece, o->npieces, need.open);
	give_to_make(o, &need);
	need.missing = need.open - need.in_stock - need.to_make;
	o->need = mem_grow(o->need, &o->needs_cap, o->nneeds + 1, sizeof *o->need);
	o->need[o->nneeds++] = need;
}

void open_orders_give(struct open_orders *o)
{
	collect_pieces(o);
	orders_sort(&o->orders, o->stock);
	for (size_t i = 0; i < o->orders.n; i++)
		for (size_t k = 0; k < o->orders.row[i].nitems; k++)
			if (o->orders.row[i].item[k].wanted > o->orders.row[i].item[k].met)
				give_item(o, &o->orders.row[i], &o->orders.row[i].item[k]);
}
