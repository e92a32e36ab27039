#include "month/month_history.h"

#include "cost/cost_view.h"
#include "grades/claims_view.h"
#include "returns/return_rates.h"
#include "returns/returns_view.h"

enum { MONTHS_BEFORE = 12 };

void month_history_init(struct month_history *h, const struct house *house, const struct zone *zone, int32_t first, int32_t last,
	struct stock *stock)
{
	*h = (struct month_history){ .house = house, .before = day_months_before(first, MONTHS_BEFORE), .first = first, .last = last,
		.cost_ask = { .by = { COST_BY_SUPPLIER }, .nby = 1, .today = last, .since = INT32_MIN } };
	costing_init(&h->costing, &h->cost_ask, house, stock);
	if (house) {
		claims_init(&h->claims, stock, h->before, last);
		claims_init(&h->claims_now, stock, first, last);
	}
	trace_init(&h->trace, house, zone, stock, last);
	h->trace.reads = false;
	bat_lives_init(&h->lives, &h->trace);
}

void month_history_take(struct month_history *h, const struct line *l)
{
	costing_add(&h->costing, l);
	if (h->house) {
		claims_take(&h->claims, l);
		claims_take(&h->claims_now, l);
	}
	bat_lives_take(&h->lives, l);
}

void month_history_read(struct month_history *h)
{
	costing_read(&h->costing);
}

void month_history_flow(struct month_history *h, const struct stock_flow *f)
{
	if (!h->costing.book.nwrong)
		costing_flow(&h->costing, f);
	if (h->house) {
		claims_flow(&h->claims, f);
		claims_flow(&h->claims_now, f);
	}
	trace_flow(&h->trace, f);
}

/* ---- the answers */

static void answer_cost(struct month_history *h, const struct provenance *origins)
{
	if (h->costing.book.nwrong) {
		table_init(&h->cost, NULL, 0);
		table_init(&h->cost_before, NULL, 0);
		return;
	}
	costing_end(&h->costing, origins);
	h->cost_ask.from = h->before;
	h->cost_ask.to = h->first - 1;
	cost_view_blades(&h->costing, &h->cost_before);
	h->cost_ask.from = h->first;
	h->cost_ask.to = h->last;
	cost_view_blades(&h->costing, &h->cost);
}

static void answer_claims(struct month_history *h, struct claims *claims, struct table *t)
{
	struct table all[CLAIMS_TABLES];

	if (!h->house) {
		table_init(t, NULL, 0);
		return;
	}
	claims_end(claims);
	claims_view(claims, all);
	*t = all[0];
	for (size_t i = 1; i < CLAIMS_TABLES; i++)
		table_release(&all[i]);
}

static void answer_rates(struct month_history *h, const struct return_ask *ask, enum return_by by, struct table *t)
{
	struct return_rates rates;

	return_rates_find(&rates, &h->lives, ask, by);
	returns_view_rates(&rates, &h->lives, ask, t);
	return_rates_release(&rates);
}

static void answer_returns(struct month_history *h)
{
	const struct return_ask ask = { .house = h->house, .from = INT32_MIN, .to = INT32_MAX, .fdr = 0.05 };

	trace_settle(&h->trace);
	bat_lives_find(&h->lives);
	returns_view_bats(&h->lives, &ask, &h->bats);
	answer_rates(h, &ask, RETURN_BY_HANDLE, &h->by_handle);
	answer_rates(h, &ask, RETURN_BY_CHARGE, &h->by_charge);
}

void month_history_end(struct month_history *h, const struct provenance *origins)
{
	answer_cost(h, origins);
	answer_claims(h, &h->claims, &h->claimed);
	answer_claims(h, &h->claims_now, &h->claimed_now);
	answer_returns(h);
}

void month_history_release(struct month_history *h)
{
	struct table *const tables[] = { &h->cost, &h->cost_before, &h->claimed, &h->claimed_now, &h->bats, &h->by_handle, &h->by_charge };

	for (size_t i = 0; i < sizeof tables / sizeof *tables; i++)
		table_release(tables[i]);
	bat_lives_release(&h->lives);
	trace_release(&h->trace);
	if (h->house) {
		claims_release(&h->claims);
		claims_release(&h->claims_now);
	}
	costing_release(&h->costing);
}
