#include "stock/open_orders.h"

#include <stdlib.h>

#include "book/parse.h"
#include "stock/stock_cells.h"

void open_orders_init(struct open_orders *o, struct stock *s, int32_t today)
{
	orders_init(&o->orders);
	bat_facts_init(&o->bats, &s->ids);
	o->stock = s;
	o->today = today;
}

void open_orders_release(struct open_orders *o)
{
	orders_release(&o->orders);
	bat_facts_release(&o->bats);
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

/* ---- the table */

static struct order_piece piece_of(const struct open_orders *o, const struct stock_bucket *b)
{
	const struct stock_kind *k = &b->kind;

	return (struct order_piece){ *k, b->n, bat_facts_mass(&o->bats, k->lot), stock_text(o->stock, k->lot),
		stock_text(o->stock, k->type), stock_text(o->stock, k->grade), stock_text(o->stock, k->place) };
}

static bool can_be_given(const struct open_orders *o, const struct stock_bucket *b)
{
	bool back = b->kind.form == FORM_BAT && bat_facts_is_back(&o->bats, b->kind.lot);

	return b->n > 0 && b->kind.place != o->stock->sold && !back;
}

/* The pieces that can be given to orders, in their order; the caller frees them. */
static struct order_piece *pieces_to_give(const struct open_orders *o, size_t *n)
{
	size_t nbuckets;
	const struct stock_bucket *b = stock_buckets(o->stock, &nbuckets);
	struct order_piece *piece = mem_array(nbuckets, sizeof *piece);

	*n = 0;
	for (size_t i = 0; i < nbuckets; i++)
		if (can_be_given(o, &b[i]))
			piece[(*n)++] = piece_of(o, &b[i]);
	orders_queue(piece, *n);
	return piece;
}

static void put_what(const struct stock *s, struct table *t, uint32_t id)
{
	if (id == STOCK_ANY)
		table_absent(t);
	else
		stock_cell_word(t, stock_text(s, id));
}

static void put_order(const struct open_orders *o, struct table *t, const struct order *order)
{
	stock_cell_day(t, o->today);
	table_text(t, stock_text(o->stock, order->id));
	stock_cell_word(t, stock_text(o->stock, order->to));
	if (order->due == INT32_MAX)
		table_absent(t);
	else
		stock_cell_day(t, order->due);
	table_text(t, vocab_form(order->form));
}

/* An item that is not yet met, with the pieces that it takes out of those left. */
static void put_item(const struct open_orders *o, struct table *t, const struct order *order, const struct order_item *item,
	struct order_piece *piece, size_t n)
{
	int64_t open = item->wanted - item->met;
	int64_t as_is = order_take(order, item, ORDER_AS_IT_IS, piece, n, open);
	int64_t to_make = order_take(order, item, ORDER_TO_MAKE, piece, n, open - as_is);

	put_order(o, t, order);
	put_what(o->stock, t, item->type);
	put_what(o->stock, t, item->grade);
	table_int(t, item->wanted);
	table_int(t, item->met);
	table_int(t, open);
	table_int(t, as_is);
	table_int(t, to_make);
	table_int(t, open - as_is - to_make);
}

void open_orders_view(struct open_orders *o, struct table *t)
{
	static const struct table_column COLUMNS[] = { { "as_of", TABLE_DATE, 0, NULL }, { "order", TABLE_TEXT, 0, NULL }, { "to", TABLE_TEXT, 0, NULL },
		{ "due", TABLE_DATE, 0, NULL }, { "form", TABLE_TEXT, 0, NULL }, { "type", TABLE_TEXT, 0, NULL }, { "grade", TABLE_TEXT, 0, NULL },
		{ "wanted", TABLE_INT, 0, NULL }, { "sold", TABLE_INT, 0, NULL }, { "open", TABLE_INT, 0, NULL }, { "in_stock", TABLE_INT, 0, NULL },
		{ "to_make", TABLE_INT, 0, NULL }, { "short", TABLE_INT, 0, NULL } };
	size_t n;
	struct order_piece *piece = pieces_to_give(o, &n);

	table_init(t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS);
	orders_sort(&o->orders, o->stock);
	for (size_t i = 0; i < o->orders.n; i++) {
		const struct order *order = &o->orders.row[i];

		for (size_t k = 0; k < order->nitems; k++)
			if (order->item[k].wanted > order->item[k].met)
				put_item(o, t, order, &order->item[k], piece, n);
	}
	table_note(t, SLICE("in_stock and to_make are given to the orders as they fall due; no piece twice"));
	table_note(t, SLICE("to_make: blades that can become the bats; if a mass is asked, bats not yet weighed"));
	free(piece);
}
