#include "stock/open_orders.h"

#include <stdlib.h>

#include "stock/stock_cells.h"
#include "stock/stock_say.h"

/* ---- the finding: how many are open, how many are late, and the pieces that are short */

struct short_kind {
	int32_t form;
	uint32_t type, grade, class;
	int64_t n;
};

struct order_sums {
	int64_t orders, late, open, there, make, missing;
	int64_t likely;            /* of the missing: with a chance of one half, out of charges under way */
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

static void sum_need(struct order_sums *sums, const struct order_need *need)
{
	const struct order *order = need->order;
	const struct order_item *item = need->item;
	size_t i = 0;

	sums->open += need->open;
	sums->there += need->in_stock;
	sums->make += need->to_make;
	sums->missing += need->missing;
	if (!need->missing)
		return;
	while (i < sums->nkinds && !is_kind(&sums->kind[i], order, item))
		i++;
	if (i == sums->nkinds) {
		sums->kind = mem_grow(sums->kind, &sums->kinds_cap, i + 1, sizeof *sums->kind);
		sums->kind[sums->nkinds++] = (struct short_kind){ order->form, item->type, item->grade, item->class, 0 };
	}
	sums->kind[i].n += need->missing;
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

/* "All of them are there." is not said of pieces that are still to be made. */
static void say_there(const struct order_sums *sums, struct buf *text)
{
	if (sums->there == sums->open) {
		buf_str(text, sums->open == 1 ? " It is there." : " All of them are there.");
		return;
	}
	buf_printf(text, " %lld %s there", (long long)sums->there, PLURAL(sums->there, "is", "are"));
	if (sums->make)
		buf_printf(text, ", %lld can be made of blades or unweighed bats in stock", (long long)sums->make);
	if (!sums->missing)
		buf_str(text, "; none is short");
	buf_char(text, '.');
}

static void say_short(const struct order_sums *sums, const struct stock *s, struct buf *text)
{
	enum { NAMED = 4 };

	if (!sums->missing)
		return;
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

/* Whether a need before this one has the same type, so that its wood was counted. */
static bool is_counted(const struct open_orders *o, const struct order_source *source, size_t first, size_t need)
{
	for (size_t i = first; i < need; i++)
		if (source[i].unknown && o->need[i].item->type == o->need[need].item->type)
			return true;
	return false;
}

int64_t open_orders_unknown(const struct open_orders *o, const struct order_source *source, size_t first, size_t end)
{
	int64_t n = 0;

	for (size_t i = first; i < end; i++) {
		if (!source[i].unknown)
			continue;
		if (o->need[i].item->type == STOCK_ANY)
			return source[i].unknown; /* which is all wood */
		n += is_counted(o, source, first, i) ? 0 : source[i].unknown;
	}
	return n;
}

/* What is under way for the missing pieces. */
static void say_likely(const struct order_sums *sums, int64_t unknown, struct buf *text)
{
	long long others = sums->missing - sums->likely;

	if (!sums->missing)
		return;
	if (unknown) {
		buf_str(text, " No blade was graded yet under the grading scheme in force, so that nobody knows how many of them the ");
		stock_say_count(text, unknown, SLICE("piece"));
		buf_str(text, " under way will fill.");
	} else if (!others)
		buf_str(text, " What is under way will probably fill all of them.");
	else if (sums->likely)
		buf_printf(text, " What is under way will probably fill %lld of them, but not the other %lld.", (long long)sums->likely, others);
	else
		buf_str(text, " Nothing under way is likely to fill them.");
}

static void say_ready(const struct open_orders *o, const struct order_source *source, struct buf *text)
{
	buf_char(text, ' ');
	buf_add(text, source->charge);
	if (source->ready == INT32_MAX) {
		buf_str(text, " has no ready date.");
	} else if (source->ready <= o->today) {
		buf_str(text, " is ready.");
	} else {
		buf_str(text, " should be ready on ");
		stock_say_day(text, source->ready);
		buf_str(text, " (90 %: ");
		stock_say_day(text, source->ready_low);
		buf_str(text, source->ready_high == INT32_MAX ? " or later" : " to ");
		if (source->ready_high != INT32_MAX)
			stock_say_day(text, source->ready_high);
		buf_str(text, ").");
	}
}

/* When the charges that the table names are ready, each once. */
static void say_charges(const struct open_orders *o, const struct order_source *source, struct buf *text)
{
	for (size_t i = 0; i < o->nneeds; i++) {
		size_t before = 0;

		while (before < i && !slice_eq(source[before].charge, source[i].charge))
			before++;
		if (before == i && source[i].charge.n)
			say_ready(o, &source[i], text);
	}
}

static void say_orders(const struct order_sums *sums, const struct open_orders *o, const struct order_source *source,
	struct table *t)
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
		say_there(sums, &text);
		say_short(sums, o->stock, &text);
		if (source) {
			say_likely(sums, open_orders_unknown(o, source, 0, o->nneeds), &text);
			say_charges(o, source, &text);
		}
	} else {
		buf_char(&text, '.');
	}
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* ---- the table */

static void put_what(const struct stock *s, struct table *t, uint32_t id)
{
	if (id == STOCK_ANY)
		table_absent(t);
	else
		stock_cell_word(t, stock_text(s, id));
}

static void put_day(struct table *t, int32_t day)
{
	if (day == INT32_MAX)
		table_absent(t);
	else
		stock_cell_day(t, day);
}

static void put_mass(const struct open_orders *o, struct table *t, const struct order *order)
{
	struct buf text = BUF_INIT;

	order_say_mass(order, o->stock, &text);
	stock_cell_word(t, buf_slice(&text));
	buf_release(&text);
}

static void put_need(const struct open_orders *o, struct table *t, const struct order_need *need)
{
	stock_cell_day(t, o->today);
	table_text(t, stock_text(o->stock, need->order->id));
	stock_cell_word(t, stock_text(o->stock, need->order->to));
	put_day(t, need->order->due);
	table_text(t, vocab_form(need->order->form));
	put_what(o->stock, t, need->item->type);
	put_what(o->stock, t, need->item->grade);
	put_what(o->stock, t, need->item->class);
	table_int(t, need->item->wanted);
	table_int(t, need->item->met);
	table_int(t, need->open);
	table_int(t, need->in_stock);
	table_int(t, need->to_make);
	table_int(t, need->missing);
}

enum { SOURCE_CELLS = 7 };

static void put_source(struct table *t, const struct order_source *source)
{
	if (!source->charge.n) {
		for (int i = 0; i < SOURCE_CELLS; i++)
			table_absent(t);
		return;
	}
	table_text(t, source->charge);
	table_int(t, (int64_t)source->charges);
	table_int(t, source->likely);
	table_real(t, source->chance);
	put_day(t, source->ready);
	put_day(t, source->ready_low);
	put_day(t, source->ready_high);
}

/* The class is among the columns for reading when some order speaks of one. */
static bool asks_for_class(const struct open_orders *o)
{
	for (size_t i = 0; i < o->orders.n; i++)
		for (size_t k = 0; k < o->orders.row[i].nitems; k++)
			if (o->orders.row[i].item[k].class != STOCK_ANY)
				return true;
	return false;
}

static bool any_charge(const struct open_orders *o, const struct order_source *source)
{
	for (size_t i = 0; source && i < o->nneeds; i++)
		if (source[i].charge.n)
			return true;
	return false;
}

/* Where a charge is named there is no room for the customer. */
static void start_table(const struct open_orders *o, const struct order_source *source, struct table *t)
{
	const bool charges = any_charge(o, source);
	const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "order", TABLE_TEXT, 0, "order" },
		{ "to", TABLE_TEXT, 0, charges ? NULL : "to" }, { "due", TABLE_DATE, 0, "due" }, { "form", TABLE_TEXT, 0, "form" },
		{ "type", TABLE_TEXT, 0, "type" }, { "grade", TABLE_TEXT, 0, "grade" }, { "class", TABLE_TEXT, 0, asks_for_class(o) ? "class" : NULL },
		{ "wanted", TABLE_INT, 0, NULL }, { "sold", TABLE_INT, 0, NULL }, { "open", TABLE_INT, 0, "open" }, { "in_stock", TABLE_INT, 0, "there" },
		{ "to_make", TABLE_INT, 0, "make" }, { "short", TABLE_INT, 0, "short" } };
	const struct table_column more[] = { { "charge", TABLE_TEXT, 0, charges ? "charge" : NULL }, { "charges", TABLE_INT, 0, NULL },
		{ "likely", TABLE_INT, 0, NULL }, { "chance", TABLE_REAL, (TABLE_PERCENT | TABLE_DOWN) + 0, charges ? "all, %" : NULL },
		{ "ready_on", TABLE_DATE, 0, NULL }, { "ready_90_from", TABLE_DATE, 0, NULL }, { "ready_90_to", TABLE_DATE, 0, NULL } };

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; source && i < sizeof more / sizeof *more; i++) {
		table_add_column(t, more[i].name, more[i].type, more[i].places);
		table_heading(t, more[i].heading);
	}
	table_add_column(t, "mass", TABLE_TEXT, 0);
}

void open_orders_view(const struct open_orders *o, const struct order_source *source, struct table *t)
{
	struct order_sums sums = { .orders = 0 };

	start_table(o, source, t);
	for (size_t i = 0; i < o->nneeds; i++) {
		put_need(o, t, &o->need[i]);
		if (source)
			put_source(t, &source[i]);
		put_mass(o, t, o->need[i].order);
		sum_need(&sums, &o->need[i]);
		sums.likely += source ? source[i].likely : 0;
		if (!i || o->need[i].order != o->need[i - 1].order)
			sum_order(&sums, o, o->need[i].order);
	}
	say_orders(&sums, o, source, t);
	table_note(t, SLICE("in pieces; the order that is due first gets pieces first, and no piece is given twice"));
	table_note(t, SLICE("make: graded blades for the bats; if the order gives a mass, as many as will have it with a chance of 90 %, with bats not yet weighed"));
	free(sums.kind);
}
