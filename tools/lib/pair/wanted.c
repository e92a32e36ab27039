#include "pair/wanted.h"

#include <stdlib.h>

#include "base/nearest.h"
#include "book/line.h"

void wanted_init(struct wanted *w, struct stock *stock)
{
	*w = (struct wanted){ .stock = stock };
	orders_init(&w->orders);
}

void wanted_release(struct wanted *w)
{
	orders_release(&w->orders);
	free(w->for_order);
	free(w->item);
}

void wanted_take(struct wanted *w, const struct line *l, int32_t today)
{
	if (l->event->id == EVENT_ORDER)
		orders_add(&w->orders, w->stock, l, today);
}

static bool *made_for_order(struct wanted *w, uint32_t bat)
{
	size_t had = w->bats_cap;

	w->for_order = mem_grow(w->for_order, &w->bats_cap, bat + 1u, sizeof *w->for_order);
	if (w->bats_cap > had)
		memset(w->for_order + had, 0, (w->bats_cap - had) * sizeof *w->for_order);
	return &w->for_order[bat];
}

void wanted_flow(void *context, const struct stock_flow *f)
{
	struct wanted *w = context;
	struct order *order = f->op->order ? orders_find(&w->orders, f->op->order) : NULL;

	if (!order || order->form != FORM_BAT)
		return;
	if (f->change == STOCK_JOINED && f->from.form == FORM_BLADE) {
		*made_for_order(w, f->to.lot) = true;
		order_meet(order, &f->from, f->n);
	} else if (f->to.place == w->stock->sold && f->from.form == FORM_BAT && !*made_for_order(w, f->from.lot)) {
		order_meet(order, &f->from, f->n);
	}
}

static void say_no_order(const struct wanted *w, struct slice order, int32_t today, struct buf *why)
{
	struct nearest near = nearest_to(order);

	for (size_t i = 0; i < w->orders.n; i++)
		nearest_try(&near, stock_text(w->stock, w->orders.row[i].id));
	buf_printf(why, "the book has no order '%.*s' by ", (int)order.n, order.p);
	day_write(why, today);
	buf_str(why, "; ");
	nearest_say(why, near.best, "--on");
}

bool wanted_by_order(struct wanted *w, struct slice order, int32_t today, struct buf *why)
{
	uint32_t id = intern_find(&w->stock->ids, order);

	orders_sort(&w->orders, w->stock);
	w->order = id ? orders_find(&w->orders, id) : NULL;
	if (!w->order) {
		say_no_order(w, order, today, why);
		return false;
	}
	if (w->order->form != FORM_BAT) {
		buf_printf(why, "the order %.*s is not for bats, so it needs no handles", (int)order.n, order.p);
		return false;
	}
	w->item = mem_array(w->order->nitems, sizeof *w->item);
	for (size_t i = 0; i < w->order->nitems; i++) {
		const struct order_item *item = &w->order->item[i];

		if (item->wanted > item->met)
			w->item[w->n++] = (struct wanted_item){ item->type, item->grade, item->class, item->wanted - item->met };
	}
	return true;
}

static uint32_t id_or_any(struct wanted *w, struct slice word)
{
	return word.n ? intern_id(&w->stock->ids, word) : STOCK_ANY;
}

void wanted_kind(struct wanted *w, struct slice type, struct slice grade, struct slice class, int64_t n)
{
	w->item = mem_array(1, sizeof *w->item);
	w->item[w->n++] = (struct wanted_item){ id_or_any(w, type), id_or_any(w, grade), id_or_any(w, class), n };
}

static bool fits(uint32_t asked, uint32_t is)
{
	return asked == STOCK_ANY || asked == is;
}

size_t wanted_item_of(const struct wanted *w, const struct stock_kind *k)
{
	size_t i = 0;

	while (i < w->n && !(fits(w->item[i].type, k->type) && fits(w->item[i].grade, k->grade) && fits(w->item[i].class, k->class)))
		i++;
	return i;
}
