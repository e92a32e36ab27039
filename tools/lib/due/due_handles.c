#include "due/due_handles.h"

#include <stdlib.h>

#include "house/house.h"
#include "stock/stock.h"

enum { FIXES_A_DAY = 240000 };  /* of a span: 24 h in steps of 0.0001 h */

void due_handles_init(struct due_handles *h, const struct house *house, struct stock *stock)
{
	int64_t rest = house ? house->splice.rest : HOUSE_NONE;

	*h = (struct due_handles){ .house = house, .stock = stock };
	h->rest = rest > 0 ? (int32_t)((rest + FIXES_A_DAY - 1) / FIXES_A_DAY) : 0;
}

void due_handles_release(struct due_handles *h)
{
	free(h->born);
	free(h->early);
}

void due_handles_begin(struct due_handles *h)
{
	if (!h->rest)
		return;
	h->nborn = h->stock->ids.n;
	h->born = mem_array(h->nborn, sizeof *h->born);
	for (size_t i = 0; i < h->nborn; i++)
		h->born[i] = INT32_MIN;
}

/* The day from which on the handles of a lot may be used; INT32_MIN where nothing is known of it. */
static int32_t rested_on(const struct due_handles *h, uint32_t lot)
{
	return lot < h->nborn && h->born[lot] != INT32_MIN ? h->born[lot] + h->rest : INT32_MIN;
}

void due_handles_flow(struct due_handles *h, const struct stock_flow *f)
{
	const struct stock_op *op = f->op;

	if (!h->rest)
		return;
	if (f->change == STOCK_BORN && f->to.form == FORM_HANDLE && f->to.lot < h->nborn && h->born[f->to.lot] == INT32_MIN)
		h->born[f->to.lot] = op->day;
	if (f->change != STOCK_JOINED || f->from.form != FORM_HANDLE || op->day >= rested_on(h, f->from.lot))
		return;
	h->early = mem_grow(h->early, &h->cap, h->n + 1, sizeof *h->early);
	h->early[h->n++] = (struct due_early){ f->from.lot, f->to.lot, { op->day, -1, op->file, stock_op_line(op) } };
}

/* ---- the items */

static void add_day(struct buf *text, const char *before, int32_t day)
{
	buf_str(text, before);
	day_write(text, day);
}

static void add_came_in(struct due *d, const struct due_handles *h, uint32_t lot)
{
	add_day(&d->text, " came in on ", h->born[lot]);
	buf_printf(&d->text, " and must rest for %d days", h->rest);
}

/* Bats made of one lot since the first of the days that are judged. */
static void find_bats(struct due *d, const struct due_handles *h, size_t first)
{
	uint32_t lot = h->early[first].lot;
	struct due_line line = { 0 };
	struct due_item *item;
	int64_t n = 0;

	for (size_t i = 0; i < h->n; i++) {
		if (h->early[i].lot != lot || h->early[i].line.day < d->days.from)
			continue;
		if (i < first)
			return;
		line = h->early[i].line;
		n++;
	}
	buf_printf(&d->text, "%lld of its handles went into %s", (long long)n, PLURAL(n, "a bat", "bats"));
	add_day(&d->text, line.day > h->early[first].line.day ? " from " : " on ", h->early[first].line.day);
	if (line.day > h->early[first].line.day)
		add_day(&d->text, " to ", line.day);
	buf_str(&d->text, "; the lot");
	add_came_in(d, h, lot);
	item = due_add(d, DUE_HANDLE, "early", stock_text(h->stock, lot), "stop using it, and check the splices of these bats");
	item->line = line;
	item->who = d->house && d->house->care.stock.n ? &d->house->care.stock : NULL;
	item->of = DUE_OF_DAY;
	item->overdue = true;
	item->day = item->last = h->early[first].line.day;
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

	for (size_t i = 0; i < h->n; i++)
		if (h->early[i].line.day >= d->days.from)
			find_bats(d, h, i);
	for (size_t i = 0; h->rest && i < n; i++)
		if (b[i].n > 0 && b[i].kind.form == FORM_HANDLE && b[i].kind.place != h->stock->sold && b[i].kind.place != h->stock->culled &&
			rested_on(h, b[i].kind.lot) != INT32_MIN)
			find_resting(d, h, lines, &b[i]);
}
