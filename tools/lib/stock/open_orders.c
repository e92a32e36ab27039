#include "stock/open_orders.h"

#include <stdlib.h>

#include "book/parse.h"
#include "house/house.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

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

/* ---- the finding: how many are open, how many are late, and the pieces that are short */

struct short_kind {
	int32_t form;
	uint32_t type, grade, class;
	int64_t n;
};

struct order_sums {
	int64_t orders, late, open, missing;
	struct short_kind *kind; /* in the order in which the orders are due */
	size_t nkinds, kinds_cap;
};

static void sum_order(struct order_sums *sums, const struct open_orders *o, const struct order *order)
{
	sums->orders++;
	sums->late += order->due < o->today;
}

static bool is_kind(const struct short_kind *k, const struct order *order, const struct order_item *item)
{
	return k->form == order->form && k->type == item->type && k->grade == item->grade && k->class == item->class;
}

static void sum_item(struct order_sums *sums, const struct order *order, const struct order_item *item, int64_t open, int64_t missing)
{
	size_t i = 0;

	sums->open += open;
	sums->missing += missing;
	if (!missing)
		return;
	while (i < sums->nkinds && !is_kind(&sums->kind[i], order, item))
		i++;
	if (i == sums->nkinds) {
		sums->kind = mem_grow(sums->kind, &sums->kinds_cap, i + 1, sizeof *sums->kind);
		sums->kind[sums->nkinds++] = (struct short_kind){ order->form, item->type, item->grade, item->class, 0 };
	}
	sums->kind[i].n += missing;
}

/* "7 blades S5/1". */
static void say_kind(const struct stock *s, const struct short_kind *k, struct buf *text)
{
	stock_say_count(text, k->n, vocab_form(k->form));
	if (k->type != STOCK_ANY) {
		buf_char(text, ' ');
		buf_add(text, stock_text(s, k->type));
	}
	if (k->grade != STOCK_ANY) {
		buf_char(text, k->type != STOCK_ANY ? '/' : ' ');
		buf_add(text, stock_text(s, k->grade));
	}
	if (k->class != STOCK_ANY) {
		buf_char(text, '/');
		buf_add(text, stock_text(s, k->class));
	}
}

static void say_short(const struct order_sums *sums, const struct stock *s, struct buf *text)
{
	enum { NAMED = 4 };

	if (!sums->missing) {
		buf_str(text, " Stock and graded blades cover all of them.");
		return;
	}
	buf_char(text, ' ');
	stock_say_count(text, sums->missing, SLICE("piece"));
	buf_str(text, sums->missing == 1 ? " is short: " : " are short: ");
	for (size_t i = 0; i < sums->nkinds && i < NAMED; i++) {
		buf_str(text, i ? ", " : "");
		say_kind(s, &sums->kind[i], text);
	}
	if (sums->nkinds > NAMED)
		buf_printf(text, " and %zu more kinds", sums->nkinds - NAMED);
	buf_char(text, '.');
}

static void say_orders(const struct order_sums *sums, const struct open_orders *o, struct table *t)
{
	struct buf text = BUF_INIT;

	buf_str(&text, "On ");
	stock_say_day(&text, o->today);
	buf_str(&text, ", ");
	if (sums->orders)
		stock_say_count(&text, sums->orders, SLICE("order"));
	else
		buf_str(&text, "no order");
	buf_str(&text, sums->orders > 1 ? " are open" : " is open");
	if (sums->orders) {
		buf_str(&text, ", for ");
		stock_say_count(&text, sums->open, SLICE("piece"));
		if (sums->late)
			buf_printf(&text, "; %lld of them %s late.", (long long)sums->late, PLURAL(sums->late, "is", "are"));
		else
			buf_str(&text, "; none of them is late.");
		say_short(sums, o->stock, &text);
	} else {
		buf_char(&text, '.');
	}
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* ---- the table */

static struct order_piece piece_of(const struct open_orders *o, const struct stock_bucket *b)
{
	const struct stock_kind *k = &b->kind;

	return (struct order_piece){ *k, b->n, bat_facts_mass(&o->bats, k->lot), stock_text(o->stock, k->lot),
		stock_text(o->stock, k->type), stock_text(o->stock, k->grade), stock_text(o->stock, k->place),
		house_grade_order(o->stock->house, o->today, stock_text(o->stock, k->grade)) };
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

/* An item that is not yet met, with the pieces that it takes out of those left; returns how many are short. */
static int64_t put_item(const struct open_orders *o, struct table *t, const struct order *order, const struct order_item *item,
	struct order_piece *piece, size_t n)
{
	int64_t open = item->wanted - item->met;
	int64_t as_is = order_take(order, item, ORDER_AS_IT_IS, piece, n, open);
	int64_t to_make = order_take(order, item, ORDER_TO_MAKE, piece, n, open - as_is);

	put_order(o, t, order);
	put_what(o->stock, t, item->type);
	put_what(o->stock, t, item->grade);
	put_what(o->stock, t, item->class);
	table_int(t, item->wanted);
	table_int(t, item->met);
	table_int(t, open);
	table_int(t, as_is);
	table_int(t, to_make);
	table_int(t, open - as_is - to_make);
	return open - as_is - to_make;
}

static void put_order_items(const struct open_orders *o, struct table *t, const struct order *order, struct order_piece *piece, size_t n,
	struct order_sums *sums)
{
	bool any = false;

	for (size_t k = 0; k < order->nitems; k++) {
		const struct order_item *item = &order->item[k];

		if (item->wanted <= item->met)
			continue;
		sum_item(sums, order, item, item->wanted - item->met, put_item(o, t, order, item, piece, n));
		any = true;
	}
	if (any)
		sum_order(sums, o, order);
}

enum { CLASS_COLUMN = 7 };

/* The class is among the columns for reading when some order speaks of one. */
static bool asks_for_class(const struct open_orders *o)
{
	for (size_t i = 0; i < o->orders.n; i++)
		for (size_t k = 0; k < o->orders.row[i].nitems; k++)
			if (o->orders.row[i].item[k].class != STOCK_ANY)
				return true;
	return false;
}

void open_orders_view(struct open_orders *o, struct table *t)
{
	struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "order", TABLE_TEXT, 0, "order" }, { "to", TABLE_TEXT, 0, "to" },
		{ "due", TABLE_DATE, 0, "due" }, { "form", TABLE_TEXT, 0, "form" }, { "type", TABLE_TEXT, 0, "type" },
		{ "grade", TABLE_TEXT, 0, "grade" }, { "class", TABLE_TEXT, 0, NULL }, { "wanted", TABLE_INT, 0, NULL }, { "sold", TABLE_INT, 0, NULL },
		{ "open", TABLE_INT, 0, "still open" }, { "in_stock", TABLE_INT, 0, "in stock" }, { "to_make", TABLE_INT, 0, "to make" },
		{ "short", TABLE_INT, 0, "short" } };
	struct order_sums sums = { .orders = 0 };
	size_t n;
	struct order_piece *piece = pieces_to_give(o, &n);

	if (asks_for_class(o))
		columns[CLASS_COLUMN].heading = "class";
	table_init(t, columns, sizeof columns / sizeof *columns);
	orders_sort(&o->orders, o->stock);
	for (size_t i = 0; i < o->orders.n; i++)
		put_order_items(o, t, &o->orders.row[i], piece, n, &sums);
	say_orders(&sums, o, t);
	table_note(t, SLICE("in pieces; the order that is due first gets pieces first, and no piece is given twice"));
	table_note(t, SLICE("to make: graded blades for the bats, and bats not yet weighed if the order gives a mass"));
	free(sums.kind);
	free(piece);
}
