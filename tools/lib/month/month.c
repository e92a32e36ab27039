#include "month/month.h"

#include "air/air_view.h"
#include "dry/charge_stock.h"
#include "dry/dry_view.h"
#include "dry/history.h"
#include "grades/grade_view.h"
#include "house/house_open.h"
#include "moist/moist_view.h"
#include "stock/stock_view.h"
#include "yield/yield_rows.h"
#include "yield/yield_view.h"

enum { BASELINE_MONTHS = 12 };

/* ---- taking lines in */

void month_init(struct month *m, const struct house *house, const struct zone *zone, struct month_days days, struct stock *stock)
{
	*m = (struct month){ .house = house, .zone = zone, .days = days, .stock = stock };
	m->no_house = house ? NULL : house_read(SLICE(""), NULL, NULL);
	provenance_init(&m->origins, &stock->ids);
	stock_movement_init(&m->movement, stock, days.first);
	open_orders_init(&m->orders, stock, days.last);
	charges_init(&m->dried, house ? house : m->no_house, zone);
	readings_init(&m->moist, house, zone, (struct readings_want){ INT32_MIN, days.last, false });
	readings_init(&m->wood, house, zone, (struct readings_want){ days.first, days.last, true });
	air_book_init(&m->air, zone, NULL);
	month_history_init(&m->history, house, zone, days.first, days.last, stock);
}

/* Later lines count only where they say what earlier readings are of, and how the air went on. */
void month_take(struct month *m, const struct line *l, int64_t utc_s)
{
	readings_take(&m->moist, l);
	readings_take(&m->wood, l);
	air_book_take(&m->air, l);
	if (l->stamp.day > m->days.last)
		return;
	provenance_add(&m->origins, l);
	open_orders_add(&m->orders, l);
	charges_add(&m->dried, l, utc_s);
	month_history_take(&m->history, l);
}

/* ---- the answers, out of one run of the stock */

/* Who hears of every flow. */
struct hearers {
	struct month *month;
	struct charge_stock held;
};

static void take_flow(void *context, const struct stock_flow *f)
{
	struct hearers *h = context;

	stock_movement_flow(&h->month->movement, f);
	open_orders_flow(&h->month->orders, f);
	stages_flow(&h->month->stages, f);
	grade_mix_flow(&h->month->mix, f);
	charge_stock_flow(&h->held, f);
	month_history_flow(&h->month->history, f);
}

static void run_stock(struct month *m, const struct grade_ask *grades)
{
	struct hearers hearers = { .month = m };

	provenance_end(&m->origins);
	month_history_read(&m->history);
	stages_init(&m->stages, m->stock, m->house);
	m->stages.from = m->days.first;
	m->stages.today = m->days.last;
	grade_mix_init(&m->mix, grades, m->stock, &m->origins);
	charge_stock_init(&hearers.held, &m->dried, m->stock);
	stock_run(m->stock, m->days.last, take_flow, &hearers);
	stages_end(&m->stages);
	charge_stock_end(&hearers.held);
	month_history_end(&m->history, &m->origins);
}

static void answer_stock(struct month *m)
{
	const struct stock_ask ask = { .by = { STOCK_BY_FORM, STOCK_BY_TYPE, STOCK_BY_GRADE }, .nby = 3, .today = m->days.last };

	stock_movement_view(&m->movement, m->days.last, &m->is.flow);
	stock_view(m->stock, &ask, &m->is.stock);
	open_orders_give(&m->orders);
	open_orders_view(&m->orders, NULL, &m->is.orders);
}

static void answer_yield(struct month *m)
{
	const struct yield_ask ask = { .by = { YIELD_BY_CHARGE }, .nby = 1, .today = m->days.last, .from = INT32_MIN, .to = INT32_MAX,
		.since = m->days.first };
	struct yield_rows rows;

	yield_rows_init(&rows, &ask, &m->stages, &m->origins);
	yield_view(&rows, &m->is.kilns);
	yield_rows_release(&rows);
}

static void answer_dry(struct month *m)
{
	struct history history;
	struct dry_ask ask = { .charges = &m->dried, .history = &history, .today = m->days.last,
		.now_s = charges_day_end(&m->dried, m->days.last) };

	history_init(&history, &m->dried);
	dry_view_charges(&ask, &m->is.charges, &m->is.reasons);
	history_release(&history);
}

static void answer_moist(struct month *m, struct readings *readings, const size_t *by, size_t nby, struct table *t)
{
	const struct moist_ask ask = { .house = m->house, .by = by, .nby = nby, .target = HOUSE_NONE };
	const struct reading_facts facts = readings_resolve(readings);
	struct moist_rows rows;
	const struct moist_view view = { &ask, &rows, NULL };

	moist_rows_init(&rows, &ask, &facts);
	moist_rows_fill(&rows, readings);
	moist_view_answer(&view, t);
	moist_rows_release(&rows);
}

static void answer_air(struct month *m)
{
	static const size_t by[] = { AIR_BY_PLACE };
	const struct air_ask ask = { .house = m->house, .wants = { true, true, true }, .by = by, .nby = 1,
		.from = m->days.first, .to = m->days.last, .book = &m->air };

	air_book_settle(&m->air);
	air_view_timed(&ask, &m->is.air);
	air_view_spells(&ask, &m->is.spells);
}

int month_answer(struct month *m)
{
	static const size_t by_charge[] = { MOIST_BY_CHARGE }, by_place[] = { MOIST_BY_PLACE, MOIST_BY_PART };
	const struct grade_ask grades = { .by = { GRADE_BY_TYPE }, .nby = 1, .from = m->days.first, .to = m->days.last, .has_baseline = true,
		.baseline = day_months_before(m->days.first, BASELINE_MONTHS) };

	run_stock(m, &grades);
	answer_stock(m);
	answer_yield(m);
	answer_dry(m);
	grade_view(&m->mix, m->house, &m->is.grades);
	answer_moist(m, &m->moist, by_charge, 1, &m->is.moist);
	answer_moist(m, &m->wood, by_place, 2, &m->is.wood);
	answer_air(m);
	return m->moist.error ? m->moist.error : m->wood.error;
}

void month_release(struct month *m)
{
	struct table *const tables[] = { &m->is.flow, &m->is.stock, &m->is.orders, &m->is.kilns, &m->is.charges,
		&m->is.reasons, &m->is.moist, &m->is.wood, &m->is.grades, &m->is.air, &m->is.spells };

	for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
		table_release(tables[i]);
	month_history_release(&m->history);
	provenance_release(&m->origins);
	stock_movement_release(&m->movement);
	open_orders_release(&m->orders);
	stages_release(&m->stages);
	grade_mix_release(&m->mix);
	charges_release(&m->dried);
	readings_release(&m->moist);
	readings_release(&m->wood);
	air_book_release(&m->air);
	house_free(m->no_house);
}
