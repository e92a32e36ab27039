#include "due/due_book.h"

#include "air/air_view.h"
#include "base/crew.h"
#include "dry/dry_view.h"
#include "moist/moist_view.h"
#include "table/table_read.h"

void due_book_init(struct due_book *b, const struct house *house, const struct zone *zone, struct due_days days, struct stock *stock)
{
	*b = (struct due_book){ .house = house, .zone = zone, .days = days, .stock = stock };
	order_supply_init(&b->supply, house, zone, stock, days.today);
	readings_init(&b->moist, house, zone, (struct readings_want){ INT32_MIN, days.today, false });
	readings_init(&b->wood, house, zone, (struct readings_want){ days.from, days.today, true });
	air_book_init(&b->air, zone, house);
	due_handles_init(&b->handles, house, stock, days.from);
	due_filled_init(&b->filled, stock);
	due_lines_init(&b->lines);
}

void due_book_release(struct due_book *b)
{
	struct table *const tables[] = { &b->is.orders, &b->is.charges, &b->is.reasons, &b->is.moist, &b->is.wood, &b->is.air, &b->is.spells,
		&b->is.outlook };

	for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
		table_release(tables[i]);
	order_supply_release(&b->supply);
	readings_release(&b->moist);
	readings_release(&b->wood);
	air_book_release(&b->air);
	due_handles_release(&b->handles);
	due_filled_release(&b->filled);
	due_lines_release(&b->lines);
}

/* Later lines count only where they say what earlier readings are of, and how the air went on. */
void due_book_take_supply(struct due_book *b, const struct line *l, int64_t utc_s)
{
	if (l->kind != LINE_EVENT)
		return;
	readings_take(&b->moist, l);
	readings_take(&b->wood, l);
	if (l->stamp.day <= b->days.today)
		order_supply_add(&b->supply, l, utc_s);
}

void due_book_take_rest(struct due_book *b, const struct line *l)
{
	if (l->kind == LINE_BAD || (l->kind == LINE_EVENT && l->stamp.day <= b->days.today))
		due_lines_take(&b->lines, l);
	if (l->kind == LINE_EVENT)
		air_book_take(&b->air, l);
}

void due_book_take(struct due_book *b, const struct line *l, int64_t utc_s)
{
	due_book_take_supply(b, l, utc_s);
	due_book_take_rest(b, l);
}

/* ---- the run of the stock */

void due_book_begin(struct due_book *b)
{
	order_supply_begin(&b->supply);
	due_handles_begin(&b->handles);
	due_filled_begin(&b->filled);
}

void due_book_flow(void *context, const struct stock_flow *f)
{
	struct due_book *b = context;

	order_supply_flow(&b->supply, f);
	due_handles_flow(&b->handles, f);
	due_filled_flow(&b->filled, f);
}

void due_book_end(struct due_book *b)
{
	order_supply_settle(&b->supply);
}

/* ---- the answers */

static void answer_dry(struct due_book *b)
{
	struct under_way *u = &b->supply.under_way;
	struct dry_ask ask = { .charges = &u->charges, .history = &u->history, .kept = &u->kept, .today = b->days.today,
		.now_s = charges_day_end(&u->charges, b->days.today) };

	dry_view_charges(&ask, &b->is.charges, &b->is.reasons);
}

static void answer_moist(struct due_book *b, struct readings *readings, const size_t *by, size_t nby, struct table *t)
{
	const struct moist_ask ask = { .house = b->house, .by = by, .nby = nby, .target = HOUSE_NONE };
	const struct reading_facts facts = readings_resolve(readings);
	struct moist_rows rows;
	const struct moist_view view = { &ask, &rows, NULL };

	moist_rows_init(&rows, &ask, &facts);
	moist_rows_fill(&rows, readings, 0);
	moist_view_answer(&view, t);
	moist_rows_release(&rows);
}

static void answer_air(struct due_book *b)
{
	static const size_t by[] = { AIR_BY_PLACE };
	const struct air_ask ask = { .house = b->house, .wants = { true, true, true }, .by = by, .nby = 1,
		.from = b->days.from, .to = b->days.today, .as_of = b->days.today, .book = &b->air };

	air_book_settle(&b->air);
	air_view_timed(&ask, &b->is.air);
	air_view_spells(&ask, &b->is.spells);
	air_view_outlook(&ask, &b->is.outlook);
}

/* What needs no forecast. */
static void answer_rest(void *context)
{
	static const size_t by_charge[] = { MOIST_BY_CHARGE }, by_place[] = { MOIST_BY_PLACE, MOIST_BY_PART };
	struct due_book *b = context;

	order_supply_give(&b->supply);
	answer_moist(b, &b->moist, by_charge, 1, &b->is.moist);
	answer_moist(b, &b->wood, by_place, 2, &b->is.wood);
	answer_air(b);
}

/* Learning takes all cores by itself. */
int due_book_answer(struct due_book *b)
{
	struct errand rest = { .work = answer_rest, .context = b };

	under_way_learn(&b->supply.under_way);
	crew_send(&rest);
	answer_dry(b);
	crew_await(&rest);
	order_supply_view(&b->supply, &b->is.orders);
	return b->moist.error ? b->moist.error : b->wood.error;
}

/* ---- what else is asked of it */

bool due_book_is_charge(const struct due_book *b, struct slice id)
{
	return charges_case(&b->supply.under_way.charges, id) != NULL;
}

bool due_book_is_kiln(const struct due_book *b, struct slice place)
{
	const struct house_place *p = b->house ? house_place(b->house, place) : NULL;

	for (size_t i = 0; i < b->supply.under_way.charges.n; i++)
		if (slice_eq(b->supply.under_way.charges.cases[i].kiln, place))
			return true;
	return p && p->kind == HOUSE_PLACE_KIND_KILN;
}

size_t due_row_of(const struct table *t, const char *column, struct slice key)
{
	size_t i = 0;

	while (i < table_rows(t) && !slice_eq(table_word(t, i, column), key))
		i++;
	return i;
}

int64_t due_book_end_of(const struct due_book *b, int32_t day)
{
	return charges_day_end(&b->supply.under_way.charges, day);
}
