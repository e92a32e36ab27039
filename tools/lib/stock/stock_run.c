#include <stdlib.h>

#include "stock/stock_internal.h"

struct dated {
	int32_t day;
	uint32_t op;
};

static int by_day(const void *a, const void *b)
{
	const struct dated *x = a, *y = b;

	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (x->op > y->op) - (x->op < y->op);
}

static void sort_by_days(const struct stock *s, uint32_t *order, size_t n)
{
	struct dated *dated = mem_array(n, sizeof *dated);

	for (size_t i = 0; i < n; i++)
		dated[i] = (struct dated){ s->op[order[i]].day, order[i] };
	qsort(dated, n, sizeof *dated, by_day);
	for (size_t i = 0; i < n; i++)
		order[i] = dated[i].op;
	free(dated);
}

/* The lots that an op names: its own, a bat's, a blade's and a handle's, and those of a pool. */
static void name_lots(struct stock *s, const struct stock_op *op, void (*met)(struct stock *s, uint32_t lot, int32_t day))
{
	uint32_t ids[STOCK_TOUCH_MOST];
	size_t n = stock_touches(op, ids);

	while (n)
		met(s, ids[--n], op->day);
	for (uint32_t i = op->counts; op->event->stock.take == TAKE_LOTS && i < op->counts + op->ncounts; i++)
		met(s, s->item[i].word, op->day);
}

/* A day before 1970 is not noted: its lots are just not let go. */
static void note_day(struct stock *s, uint32_t lot, int32_t day)
{
	struct stock_id *id = &s->state->id[lot];

	id->last_day = day > id->last_day ? day : id->last_day;
}

static bool takes_part(const struct stock *s, const struct stock_op *op)
{
	return !op->skipped && (!op->measured || s->state->id[op->subject].is_bat);
}

/*
 * The ops in the order of their days; most books are in that order already. Notes when each lot is named last, and in
 * *any_lot the last day of a line that names none, and may be about any.
 */
static uint32_t *by_days(struct stock *s, size_t *n, int32_t *any_lot)
{
	uint32_t *order = mem_array(s->nops, sizeof *order);
	int32_t before = INT32_MIN;
	bool sorted = true;
	size_t k = 0;

	*any_lot = INT32_MIN;
	for (uint32_t i = 0; i < s->nops; i++) {
		const struct stock_op *op = &s->op[i];

		if (!takes_part(s, op))
			continue;
		sorted &= before <= op->day;
		before = op->day;
		order[k++] = i;
		name_lots(s, op, note_day);
		if (op->lot == STOCK_ANY && op->day > *any_lot)
			*any_lot = op->day;
	}
	if (!sorted)
		sort_by_days(s, order, k);
	*n = k;
	return order;
}

/* The lots given to stock_doubt() share one fault that is never reported. */
static void open_doubts(struct stock *s)
{
	struct stock_state *r = s->state;

	if (!s->ndoubts)
		return;
	r->fault = mem_grow(r->fault, &r->faults_cap, r->nfaults + 1, sizeof *r->fault);
	r->fault[r->nfaults++] = (struct stock_fault){ .why = WHY_REPORTED };
	for (size_t i = 0; i < s->ndoubts; i++)
		r->id[s->doubt[i]].fault = 1;
}

/* What the line says of its subject: that it is a charge, or a bat. */
static void note_nature(struct stock *s, const struct stock_op *op)
{
	const struct stock_effect *e = &op->event->stock;
	bool comes_in = e->take == TAKE_NONE || e->number == NUMBER_TALLY;

	if (e->give == GIVE_SUBJECT)
		s->state->id[op->subject].is_charge = true;
	if (e->take == TAKE_PAIR || (comes_in && op->form == FORM_BAT))
		s->state->id[op->subject].is_bat = true;
}

static void open_state(struct stock *s, stock_sink *sink, void *context)
{
	s->state = mem_zeroed(1, sizeof *s->state);
	s->state->nids = s->ids.n;
	s->state->id = mem_zeroed(s->state->nids, sizeof *s->state->id);
	if (s->nrefits)
		s->state->fitted = mem_zeroed(s->state->nids, sizeof *s->state->fitted);
	s->state->sink = sink;
	s->state->context = context;
	for (size_t i = 0; i < s->nops; i++)
		note_nature(s, &s->op[i]);
	open_doubts(s);
}

/* ---- lots that no later line is about */

static void let_go(struct stock *s, uint32_t lot, int32_t day)
{
	if (s->state->id[lot].last_day == day)
		stock_let_go(s, lot);
}

void stock_run(struct stock *s, int32_t last_day, stock_sink *sink, void *context)
{
	struct stock_days *days = stock_days_new();
	uint32_t *order;
	int32_t any_lot;
	size_t n;

	open_state(s, sink, context);
	order = by_days(s, &n, &any_lot);
	for (size_t i = 0, k; i < n && s->op[order[i]].day <= last_day; i = k) {
		for (k = i; k < n && s->op[order[k]].day == s->op[order[i]].day; k++)
			;
		stock_day(s, days, order + i, k - i);
		for (size_t at = i; at < k && s->op[order[at]].day > any_lot; at++)
			name_lots(s, &s->op[order[at]], let_go);
	}
	stock_days_free(days);
	free(order);
}
