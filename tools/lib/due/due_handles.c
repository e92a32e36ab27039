#include "due/due_handles.h"

#include <stdlib.h>

#include "stock/stock.h"

void due_handles_init(struct due_handles *h, const struct house *house, struct stock *stock, int32_t from)
{
	*h = (struct due_handles){ .house = house, .stock = stock, .from = from };
}

void due_handles_release(struct due_handles *h)
{
	free(h->lot);
}

void due_handles_begin(struct due_handles *h)
{
	h->n = h->stock->ids.n;
	h->lot = mem_zeroed(h->n, sizeof *h->lot);
	for (size_t i = 0; i < h->n; i++)
		h->lot[i].born = INT32_MIN;
}

/* The day from which on the handles of a lot may be used; INT32_MIN where nothing is known of it. */
static int32_t rested_on(const struct due_handles *h, uint32_t lot)
{
	return lot < h->n && h->lot[lot].born != INT32_MIN ? h->lot[lot].born + h->lot[lot].rest : INT32_MIN;
}

static void take_in(struct due_handles *h, const struct stock_flow *f)
{
	const struct house_rest *rest = house_rest_of(h->house, HOUSE_REST_FORM_HANDLE, stock_text(h->stock, f->to.type), stock_text(h->stock, f->to.place));

	if (rest && f->to.lot < h->n && h->lot[f->to.lot].born == INT32_MIN)
		h->lot[f->to.lot] = (struct due_lot){ .born = f->op->day, .rest = (int32_t)house_span_days(rest->span + HOUSE_SPAN_DAY - 1) };
}

/* Flows come in the order of days. */
void due_handles_flow(struct due_handles *h, const struct stock_flow *f)
{
	const struct stock_op *op = f->op;
	struct due_lot *lot;

	if (f->change == STOCK_BORN && f->to.form == FORM_HANDLE)
		take_in(h, f);
	if (f->change != STOCK_JOINED || f->from.form != FORM_HANDLE || op->day < h->from || op->day >= rested_on(h, f->from.lot))
		return;
	lot = &h->lot[f->from.lot];
	lot->last = (struct due_line){ op->day, -1, op->file, stock_op_line(op) };
	if (!lot->early++)
		lot->first = lot->last;
}

/* ---- the items */

static void add_day(struct buf *text, const char *before, int32_t day)
{
	buf_str(text, before);
	day_write(text, day);
}

static void add_came_in(struct due *d, const struct due_handles *h, uint32_t lot)
{
	add_day(&d->text, " came in on ", h->lot[lot].born);
	buf_printf(&d->text, " and must rest for %d days", h->lot[lot].rest);
}

static void find_bats(struct due *d, const struct due_handles *h, uint32_t id)
{
	const struct due_lot *lot = &h->lot[id];
	struct due_item *item;

	buf_printf(&d->text, "%lld of its handles went into %s", (long long)lot->early, PLURAL(lot->early, "a bat", "bats"));
	add_day(&d->text, lot->last.day > lot->first.day ? " from " : " on ", lot->first.day);
	if (lot->last.day > lot->first.day)
		add_day(&d->text, " to ", lot->last.day);
	buf_str(&d->text, "; the lot");
	add_came_in(d, h, id);
	item = due_add(d, DUE_HANDLE, "early", stock_text(h->stock, id), "stop using it, and check the splices of these bats");
	item->line = lot->last;
	item->who = d->house && d->house->care.stock.n ? &d->house->care.stock : NULL;
	item->of = DUE_OF_DAY;
	item->overdue = true;
	item->day = item->last = lot->first.day;
}

static bool is_shop(const struct due_handles *h, struct slice place)
{
	const struct house_place *p = house_place(h->house, place);

	return p && p->kind == HOUSE_PLACE_KIND_SHOP;
}

/* Handles in stock that may not be used yet: those in a shop must go back, others can be used from a day on. */
static void find_resting(struct due *d, const struct due_handles *h, struct due_lines *lines, const struct stock_bucket *b)
{
	int32_t day = rested_on(h, b->kind.lot);
	struct slice lot = stock_text(h->stock, b->kind.lot), place = stock_text(h->stock, b->kind.place);
	bool shop = is_shop(h, place);
	struct due_item *item;

	if (day <= d->days.today)
		return;
	buf_printf(&d->text, "%lld %s; the lot", (long long)b->n, shop ? "are in the shop already" : "rest there");
	add_came_in(d, h, b->kind.lot);
	item = due_add(d, DUE_HANDLE, shop ? "in-shop" : "rested", lot, shop ? "take them back to rest" : "they have rested; read their moisture before use");
	item->place = due_text(d, place);
	item->who = due_care_of(d->house, place);
	item->line = due_lines_first(lines, "", lot, SLICE(""));
	item->of = DUE_OF_DAY;
	if (!shop)
		item->day = item->last = day;
}

void due_handles_find(struct due *d, const struct due_handles *h, struct due_lines *lines)
{
	size_t n;
	const struct stock_bucket *b = stock_buckets(h->stock, &n);

	for (uint32_t id = 0; id < h->n; id++)
		if (h->lot[id].early)
			find_bats(d, h, id);
	for (size_t i = 0; i < n; i++)
		if (b[i].n > 0 && b[i].kind.form == FORM_HANDLE && b[i].kind.place != h->stock->sold && b[i].kind.place != h->stock->culled &&
			rested_on(h, b[i].kind.lot) != INT32_MIN)
			find_resting(d, h, lines, &b[i]);
}
