#include "plan/plan_view.h"

#include <math.h>

#include "house/house.h"
#include "plan/plan_view_internal.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

static void put_day(struct table *t, int32_t day)
{
	if (day == INT32_MAX || day == INT32_MIN)
		table_absent(t);
	else
		stock_cell_day(t, day);
}

static void put_said(struct table *t, const struct buf *text)
{
	if (text->n)
		table_text(t, buf_slice(text));
	else
		table_absent(t);
}

/* ---- what to load */

static void put_take(const struct plan *p, struct table *t, size_t charge, size_t lot)
{
	const struct plan_charge *c = &p->charge[charge];
	const struct plan_lot *l = &p->lot[lot];
	int64_t n = p->planner.take[charge * p->nlots + lot], usual = p->filled[charge * p->nlots + lot];
	struct buf id = BUF_INIT;

	plan_say_id(p, charge, &id);
	stock_cell_day(t, p->ask->today);
	table_text(t, c->kiln->id);
	put_said(t, &id);
	put_day(t, c->day);
	stock_cell_word(t, c->after);
	stock_cell_word(t, stock_text(p->stock, l->kind.lot));
	stock_cell_word(t, stock_text(p->stock, l->kind.place));
	stock_cell_word(t, stock_text(p->stock, l->kind.type));
	table_int(t, n);
	table_int(t, n - usual);
	table_int(t, l->n);
	table_int(t, l->resting);
	table_int(t, p->ask->today - l->since);
	table_real(t, l->mc_pct);
	put_day(t, l->read_day);
	put_day(t, c->graded);
	buf_release(&id);
}

static void view_load(const struct plan *p, struct table *t)
{
	static const struct table_column columns[] = {
		{ "as_of", TABLE_DATE, 0, NULL }, { "kiln", TABLE_TEXT, 0, "kiln" }, { "charge", TABLE_TEXT, 0, "charge" }, { "on", TABLE_DATE, 0, "on" },
		{ "after", TABLE_TEXT, 0, NULL }, { "lot", TABLE_TEXT, 0, "lot" }, { "place", TABLE_TEXT, 0, "at" }, { "type", TABLE_TEXT, 0, "type" },
		{ "count", TABLE_INT, 0, "load" }, { "for_orders", TABLE_INT, 0, "for orders" }, { "there", TABLE_INT, 0, "of" },
		{ "resting", TABLE_INT, 0, NULL }, { "age_days", TABLE_INT, 0, "days old" }, { "mc_pct", TABLE_REAL, 1, "MC, %" },
		{ "read_on", TABLE_DATE, 0, NULL }, { "graded_on", TABLE_DATE, 0, NULL },
	};
	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("What to load"), "load");
	for (size_t charge = 0; charge < p->planner.ncharges; charge++)
		for (size_t lot = 0; lot < p->nlots; lot++)
			if (p->planner.take[charge * p->nlots + lot])
				put_take(p, t, charge, lot);
	table_note(t, SLICE("of: pieces of that wood that have rested long enough; MC: the lot's last readings in the yard"));
}

/* ---- what that does for the orders */

static void put_mass(const struct plan *p, struct table *t, const struct order *order)
{
	struct buf text = BUF_INIT;

	order_say_mass(order, p->stock, &text);
	put_said(t, &text);
	buf_release(&text);
}

static void put_need(const struct plan *p, struct table *t, size_t i)
{
	const struct order_need *of = plan_need(p, i);
	const struct planner_need *need = &p->planner.need[i];
	int32_t day = plan_need_day(p, i), due = of->order->due;

	stock_cell_word(t, stock_text(p->stock, of->order->id));
	stock_cell_word(t, stock_text(p->stock, of->order->to));
	put_day(t, due);
	stock_cell_word(t, of->item->type == STOCK_ANY ? SLICE("") : stock_text(p->stock, of->item->type));
	stock_cell_word(t, of->item->grade == STOCK_ANY ? SLICE("") : stock_text(p->stock, of->item->grade));
	stock_cell_word(t, of->item->class == STOCK_ANY ? SLICE("") : stock_text(p->stock, of->item->class));
	put_mass(p, t, of->order);
	table_int(t, of->missing);
	table_real(t, need->asked);
	table_real(t, need->chance_before);
	table_real(t, need->chance);
	table_real(t, need->chance_ever);
	table_cstr(t, plan_end_word(need->end));
	put_day(t, need->end == PLANNER_COVERED ? INT32_MAX : day);
	if (need->end == PLANNER_LATE && day != INT32_MAX && due != INT32_MAX && day > due)
		table_int(t, day - due);
	else
		table_absent(t);
}

static bool asks_for_class(const struct plan *p)
{
	bool asks = false;

	for (size_t i = 0; i < p->planner.nneeds; i++)
		asks |= plan_need(p, i)->item->class != STOCK_ANY;
	return asks;
}

/* What the chance of a need for a class or a mass is from. */
static void note_known(const struct plan *p, struct table *t, size_t i)
{
	const struct order_need *need = plan_need(p, i);
	struct buf text = BUF_INIT, known = BUF_INIT;

	order_match_say(&p->supply.match, need->order, need->item, &known);
	if (known.n) {
		buf_add(&text, stock_text(p->stock, need->order->id));
		buf_char(&text, ' ');
		plan_say_item(p, need, &text);
		buf_str(&text, ": ");
		buf_add(&text, buf_slice(&known));
		table_note(t, buf_slice(&text));
	}
	buf_release(&text);
	buf_release(&known);
}

static void view_orders(const struct plan *p, struct table *t)
{
	const struct table_column columns[] = {
		{ "order", TABLE_TEXT, 0, "order" }, { "to", TABLE_TEXT, 0, NULL }, { "due", TABLE_DATE, 0, "due" }, { "type", TABLE_TEXT, 0, "type" },
		{ "grade", TABLE_TEXT, 0, "grade" }, { "class", TABLE_TEXT, 0, asks_for_class(p) ? "class" : NULL }, { "mass", TABLE_TEXT, 0, NULL },
		{ "short", TABLE_INT, 0, "short" }, { "asked", TABLE_REAL, TABLE_PERCENT + 1, NULL },
		{ "chance_before", TABLE_REAL, (TABLE_PERCENT | TABLE_DOWN) + 0, "now" }, { "chance", TABLE_REAL, (TABLE_PERCENT | TABLE_DOWN) + 0, "then" },
		{ "chance_ever", TABLE_REAL, (TABLE_PERCENT | TABLE_DOWN) + 0, "ever" }, { "result", TABLE_TEXT, 0, "result" },
		{ "graded_on", TABLE_DATE, 0, "graded by" }, { "late_days", TABLE_INT, 0, NULL },
	};

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("What it does for the orders"), "orders");
	for (size_t i = 0; i < p->planner.nneeds; i++)
		put_need(p, t, i);
	table_note(t, SLICE("now, then: the chance in per cent that these pieces, and those of the orders before, are there when due, without and with the load; ever: that they come at all"));
	for (size_t i = 0; i < p->planner.nneeds; i++)
		note_known(p, t, i);
}

void plan_view(const struct plan *p, struct table *t)
{
	struct buf text = BUF_INIT;

	view_load(p, &t[0]);
	view_orders(p, &t[1]);
	plan_say(p, &text);
	table_finding(table_rows(&t[0]) || !table_rows(&t[1]) ? &t[0] : &t[1], buf_slice(&text));
	buf_release(&text);
}

/* ---- lines for the book */

static void put_comment(struct buf *out, const struct buf *text)
{
	buf_str(out, "# ");
	buf_add(out, buf_slice(text));
	buf_char(out, '\n');
}

static void put_need_line(const struct plan *p, size_t i, struct buf *out)
{
	const struct order_need *of = plan_need(p, i);
	const struct planner_need *need = &p->planner.need[i];
	struct buf text = BUF_INIT;

	buf_add(&text, stock_text(p->stock, of->order->id));
	if (of->order->due != INT32_MAX) {
		buf_str(&text, ", due ");
		stock_say_day(&text, of->order->due);
	}
	buf_printf(&text, ": %lld ", (long long)of->missing);
	plan_say_item(p, of, &text);
	buf_str(&text, " short; chance ");
	stock_say_chance(&text, need->chance_before);
	buf_str(&text, " now, ");
	stock_say_chance(&text, need->chance);
	buf_str(&text, " then");
	if (need->end != PLANNER_COVERED && need->end != PLANNER_IN_TIME) {
		buf_str(&text, ", ");
		stock_say_chance(&text, need->chance_ever);
		buf_printf(&text, " ever: %s", plan_end_word(need->end));
	}
	put_comment(out, &text);
	buf_release(&text);
}

static void put_load_line(const struct plan *p, size_t charge, size_t lot, struct buf *out)
{
	const struct plan_charge *c = &p->charge[charge];
	const struct plan_lot *l = &p->lot[lot];

	if (c->day > p->ask->today)
		buf_str(out, "# ");
	day_write(out, c->day);
	buf_str(out, " load ");
	plan_say_id(p, charge, out);
	buf_str(out, " kiln=");
	buf_add(out, c->kiln->id);
	buf_str(out, " lot=");
	buf_add(out, stock_text(p->stock, l->kind.lot));
	buf_str(out, " at=");
	buf_add(out, stock_text(p->stock, l->kind.place));
	if (l->kind.type) {
		buf_str(out, " type=");
		buf_add(out, stock_text(p->stock, l->kind.type));
	}
	buf_printf(out, " count=%lld   # %ld days in stock", (long long)p->planner.take[charge * p->nlots + lot], (long)(p->ask->today - l->since));
	if (!isnan(l->mc_pct))
		buf_printf(out, ", last read %.1f %%", l->mc_pct);
	buf_char(out, '\n');
}

void plan_lines(const struct plan *p, struct buf *out)
{
	struct buf text = BUF_INIT;

	plan_say(p, &text);
	put_comment(out, &text);
	for (size_t i = 0; i < p->planner.nneeds; i++)
		put_need_line(p, i, out);
	for (size_t charge = 0; charge < p->planner.ncharges; charge++)
		for (size_t lot = 0; lot < p->nlots && p->charge[charge].day != INT32_MAX; lot++)
			if (p->planner.take[charge * p->nlots + lot])
				put_load_line(p, charge, lot, out);
	buf_release(&text);
}
