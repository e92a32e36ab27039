#include "month/month.h"

#include "book/line.h"
#include "due/due_find.h"
#include "grades/grade_view.h"
#include "stock/stock_view.h"
#include "yield/yield_view.h"

enum { BASELINE_MONTHS = 12 };

/* ---- taking lines in */

void month_init(struct month *m, const struct house *house, const struct zone *zone, struct month_days days, struct stock *stock,
	struct stock *past_stock)
{
	const struct due_days judged = { days.first, days.last, days.last };

	*m = (struct month){ .house = house, .days = days, .stock = stock, .past_stock = past_stock };
	provenance_init(&m->origins, &stock->ids);
	provenance_init(&m->past_origins, &past_stock->ids);
	stock_movement_init(&m->movement, stock, days.first);
	due_book_init(&m->book, house, zone, judged, stock);
	due_init(&m->due, house, judged);
	month_history_init(&m->history, house, zone, days.first, days.last, past_stock);
}

void month_take(struct month *m, const struct line *l, int64_t utc_s)
{
	due_book_take_supply(&m->book, l, utc_s);
	if (l->kind == LINE_EVENT && l->stamp.day <= m->days.last)
		provenance_add(&m->origins, l);
}

void month_take_past(struct month *m, const struct line *l)
{
	due_book_take_rest(&m->book, l);
	if (l->kind != LINE_EVENT || l->stamp.day > m->days.last)
		return;
	provenance_add(&m->past_origins, l);
	month_history_take(&m->history, l);
}

/* ---- the runs of the stock */

void month_begin_past(struct month *m)
{
	provenance_end(&m->past_origins);
	month_history_read(&m->history);
}

void month_flow_past(void *context, const struct stock_flow *f)
{
	struct month *m = context;

	month_history_flow(&m->history, f);
}

void month_end_past(struct month *m)
{
	month_history_end(&m->history, &m->past_origins);
}

void month_run_past(struct month *m)
{
	month_begin_past(m);
	stock_run(m->past_stock, m->days.last, month_flow_past, m);
	month_end_past(m);
}

static void take_flow(void *context, const struct stock_flow *f)
{
	struct month *m = context;

	stock_movement_flow(&m->movement, f);
	stages_flow(&m->stages, f);
	grade_mix_flow(&m->mix, f);
	grade_mix_flow(&m->by_supplier, f);
	due_book_flow(&m->book, f);
}

void month_run(struct month *m)
{
	provenance_end(&m->origins);
	stages_init(&m->stages, m->stock, m->house);
	m->stages.from = m->days.first;
	m->stages.today = m->days.last;
	m->grade_ask = (struct grade_ask){ .by = { GRADE_BY_TYPE }, .nby = 1, .from = m->days.first, .to = m->days.last, .has_baseline = true,
		.baseline = day_months_before(m->days.first, BASELINE_MONTHS) };
	m->supplier_ask = (struct grade_ask){ .by = { GRADE_BY_SUPPLIER }, .nby = 1, .from = m->history.before, .to = m->days.last,
		.baseline = m->history.before };
	grade_mix_init(&m->mix, &m->grade_ask, m->stock, &m->origins);
	grade_mix_init(&m->by_supplier, &m->supplier_ask, m->stock, &m->origins);
	due_book_begin(&m->book);
	stock_run(m->stock, m->days.last, take_flow, m);
	due_book_end(&m->book);
	stages_end(&m->stages);
}

/* ---- the answers */

static void answer_stock(struct month *m)
{
	const struct stock_ask ask = { .by = { STOCK_BY_FORM, STOCK_BY_TYPE, STOCK_BY_GRADE }, .nby = 3, .today = m->days.last };

	stock_movement_view(&m->movement, m->days.last, &m->is.flow);
	stock_view(m->stock, &ask, &m->is.stock);
}

/* The steps, by charge or all together. */
static void answer_yield(struct month *m, size_t nby, struct table *t)
{
	const struct yield_ask ask = { .by = { YIELD_BY_CHARGE }, .nby = nby, .today = m->days.last, .from = INT32_MIN, .to = INT32_MAX,
		.since = m->days.first };
	struct yield_rows rows;

	yield_rows_init(&rows, &ask, &m->stages, &m->origins);
	yield_view(&rows, t);
	yield_rows_release(&rows);
}

int month_answer(struct month *m)
{
	int error = due_book_answer(&m->book);

	due_find_answers(&m->due, &m->book);
	answer_stock(m);
	answer_yield(m, 1, &m->is.kilns);
	answer_yield(m, 0, &m->is.steps);
	grade_view(&m->mix, m->house, &m->is.grades);
	grade_view(&m->by_supplier, m->house, &m->is.suppliers);
	grade_view_shift(&m->mix, m->house, &m->is.shift);
	return error;
}

void month_release(struct month *m)
{
	struct table *const tables[] = { &m->is.flow, &m->is.stock, &m->is.kilns, &m->is.grades, &m->is.shift, &m->is.steps, &m->is.suppliers };

	for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
		table_release(tables[i]);
	provenance_release(&m->origins);
	provenance_release(&m->past_origins);
	stock_movement_release(&m->movement);
	stages_release(&m->stages);
	grade_mix_release(&m->mix);
	grade_mix_release(&m->by_supplier);
	month_history_release(&m->history);
	due_book_release(&m->book);
	due_release(&m->due);
}
