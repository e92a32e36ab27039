#include "plan/plan_view_internal.h"

#include <math.h>

#include "house/house.h"
#include "stock/stock_say.h"

/* ---- the id of a charge */

static bool is_digit(char c)
{
	return c >= '0' && c <= '9';
}

/* Where the number at the end of an id begins. */
static size_t number_at(struct slice id)
{
	size_t at = id.n;

	while (at && is_digit(id.p[at - 1]))
		at--;
	return at;
}

static int year_of(int32_t day)
{
	int year, month, date;

	day_split(day, &year, &month, &date);
	return year;
}

/* Where an id has the year of its loading in two digits, before the sign that parts it from the number; id.n where it has none. */
static size_t year_at(struct slice id, size_t number, int year)
{
	if (number < 3 || is_digit(id.p[number - 1]))
		return id.n;
	if (id.p[number - 3] != '0' + year / 10 % 10 || id.p[number - 2] != '0' + year % 10)
		return id.n;
	return number - 3;
}

/* Of charges of the plan before this one that are loaded, how many are counted on from the same beginning. */
static int64_t loaded_before(const struct plan *p, size_t charge, int year, bool by_year)
{
	int64_t n = 0;

	for (size_t i = 0; i < charge; i++)
		n += p->planner.charge[i].taken > 0 && (!by_year || year_of(p->charge[i].day) == year);
	return n;
}

void plan_say_id(const struct plan *p, size_t charge, struct buf *out)
{
	const struct charges *charges = &p->supply.under_way.charges;
	const struct dry_case *last = charges->n ? &charges->cases[charges->n - 1] : NULL;
	struct slice id = last ? last->id : SLICE("K-0");
	size_t number = number_at(id), at;
	int was = last ? year_of(charges_day(charges, last->load_s)) : 0, year = p->charge[charge].day == INT32_MAX ? was : year_of(p->charge[charge].day);
	int64_t count = 0;
	bool new_year;

	at = last ? year_at(id, number, was) : id.n;
	new_year = at < id.n && year != was;
	for (size_t i = number; i < id.n && count < INT32_MAX; i++)
		count = 10 * count + id.p[i] - '0';
	count = (new_year ? 0 : count) + 1 + loaded_before(p, charge, year, at < id.n);
	buf_add(out, slice_upto(id, new_year ? at : number));
	if (new_year)
		buf_printf(out, "%02d%c", year % 100, id.p[number - 1]);
	buf_printf(out, "%0*lld", (int)(id.n - number), (long long)count);
}

/* ---- words */

void plan_say_item(const struct plan *p, const struct order_need *need, struct buf *out)
{
	const struct order_item *item = need->item;

	if (item->type != STOCK_ANY)
		buf_add(out, stock_text(p->stock, item->type));
	if (item->grade != STOCK_ANY) {
		buf_str(out, item->type != STOCK_ANY ? "/" : "grade ");
		buf_add(out, stock_text(p->stock, item->grade));
	}
	if (item->type == STOCK_ANY && item->grade == STOCK_ANY)
		buf_str(out, "any");
	if (item->class != STOCK_ANY) {
		buf_char(out, '/');
		buf_add(out, stock_text(p->stock, item->class));
	}
	if (order_has_mass(need->order)) {
		buf_str(out, " at ");
		order_say_mass(need->order, p->stock, out);
	}
}

const char *plan_end_word(enum planner_end end)
{
	static const char *const WORD[] = { [PLANNER_COVERED] = "covered", [PLANNER_IN_TIME] = "in time", [PLANNER_LATE] = "late",
		[PLANNER_NO_WOOD] = "no wood", [PLANNER_NO_ROOM] = "no room", [PLANNER_UNLIKE] = "too unlike" };

	return WORD[end];
}

struct plan_sum plan_sum(const struct plan *p, size_t charge)
{
	struct plan_sum sum = { 0, 0 };

	for (size_t lot = 0; lot < p->nlots; lot++) {
		int64_t usual = p->filled[charge * p->nlots + lot];

		sum.usual += usual;
		sum.orders += p->planner.take[charge * p->nlots + lot] - usual;
	}
	return sum;
}

/* ---- the finding */

static void say_charge(const struct plan *p, size_t charge, bool first, struct buf *out)
{
	struct plan_sum sum = plan_sum(p, charge);
	const struct plan_charge *c = &p->charge[charge];

	buf_str(out, first ? "Load " : ", and ");
	stock_say_count(out, sum.orders + sum.usual, SLICE("piece"));
	buf_str(out, " into ");
	buf_add(out, c->kiln->id);
	if (c->day == INT32_MAX) {
		buf_str(out, " when it is free");
	} else {
		buf_str(out, c->day == p->ask->today ? " on " : " about ");
		stock_say_day(out, c->day);
	}
	if (sum.orders && sum.usual)
		buf_printf(out, " (%lld for orders)", (long long)sum.orders);
}

static void say_load(const struct plan *p, struct buf *out)
{
	bool any = false;

	for (size_t i = 0; i < p->planner.ncharges; i++)
		if (p->planner.charge[i].taken) {
			say_charge(p, i, !any, out);
			any = true;
		}
	buf_str(out, any ? "." : "There is nothing to load.");
}

static size_t count_ends(const struct plan *p, enum planner_end end)
{
	size_t n = 0;

	for (size_t i = 0; i < p->planner.nneeds; i++)
		n += p->planner.need[i].end == end;
	return n;
}

/* "7 S5/1 of O-417". */
static void say_need(const struct plan *p, size_t i, struct buf *out)
{
	const struct order_need *need = plan_need(p, i);

	buf_printf(out, "%lld ", (long long)(need->missing ? need->missing : order_fill_wanted(need)));
	plan_say_item(p, need, out);
	buf_str(out, " of ");
	buf_add(out, stock_text(p->stock, need->order->id));
}

enum { NAMED = 3 };

static void say_ends(const struct plan *p, enum planner_end end, const char *words, struct buf *out)
{
	size_t n = 0, all = count_ends(p, end);

	for (size_t i = 0; i < p->planner.nneeds && n < NAMED; i++) {
		if (p->planner.need[i].end != end)
			continue;
		buf_str(out, n++ ? ", " : words);
		say_need(p, i, out);
		if (end == PLANNER_LATE && plan_need_day(p, i) != INT32_MAX) {
			buf_str(out, " (about ");
			stock_say_day(out, plan_need_day(p, i));
			buf_char(out, ')');
		}
	}
	if (all > NAMED)
		buf_printf(out, " and %zu more", all - NAMED);
	buf_str(out, all ? "." : "");
}

/* Wood of types that are short, and is not to be loaded yet. */
static void say_resting(const struct plan *p, struct buf *out)
{
	int64_t n = 0;
	int32_t day = INT32_MAX;

	for (size_t lot = 0; lot < p->nlots; lot++) {
		bool wanted = false;

		for (size_t i = 0; i < p->planner.nneeds && !wanted; i++)
			wanted = p->planner.need[i].end == PLANNER_NO_WOOD && p->planner.odds[lot * p->planner.nneeds + i].a > 0;
		if (!wanted || !p->lot[lot].resting)
			continue;
		n += p->lot[lot].resting;
		day = p->lot[lot].rested < day ? p->lot[lot].rested : day;
	}
	if (!n)
		return;
	buf_char(out, ' ');
	stock_say_count(out, n, SLICE("piece"));
	buf_str(out, " of such wood must still rest, the first until ");
	stock_say_day(out, day);
	buf_char(out, '.');
}

static bool any_unsure(const struct plan *p)
{
	bool any = false;

	for (size_t i = 0; i < p->planner.nneeds; i++)
		any |= order_fill_is_unsure(plan_need(p, i));
	return any;
}

static void say_orders(const struct plan *p, struct buf *out)
{
	size_t met = count_ends(p, PLANNER_COVERED) + count_ends(p, PLANNER_IN_TIME);

	if (!p->planner.nneeds) {
		buf_str(out, grade_odds_known(&p->supply.under_way.odds) ? "No open order is short of blades. " :
			"No blade was graded yet under the grading scheme in force, so that nothing is known of what wood becomes. ");
		say_load(p, out);
		return;
	}
	say_load(p, out);
	buf_printf(out, " %zu of the %zu order lines that are short%s will be there in time, each order with a chance of at least %.4g %%.", met,
		p->planner.nneeds, any_unsure(p) ? ", or not sure to be there," : "", 100 * p->ask->chance);
	say_ends(p, PLANNER_LATE, " Late: ", out);
	say_ends(p, PLANNER_NO_WOOD, " The wood in stock is not enough for ", out);
	say_resting(p, out);
	buf_str(out, count_ends(p, PLANNER_NO_WOOD) ? " For what to buy, see --buy." : "");
	say_ends(p, PLANNER_NO_ROOM, " The kilns have not enough room for ", out);
	say_ends(p, PLANNER_UNLIKE, " Their wood is too unlike that of the charge: ", out);
}

void plan_say(const struct plan *p, struct buf *out)
{
	say_orders(p, out);
}
