#include <stdlib.h>

#include "stock/stock_internal.h"
#include "stock/stock_lines.h"

/* ---- a day's lines */

static int by_place(const void *a, const void *b)
{
	const struct stock_skip *x = a, *y = b;

	if (x->file != y->file)
		return x->file < y->file ? -1 : 1;
	return (x->line > y->line) - (x->line < y->line);
}

static bool is_skipped(const struct stock *s, const struct stock_op *op)
{
	const struct stock_skip place = { op->file, stock_op_line(op) };

	return s->nskips && bsearch(&place, s->skip, s->nskips, sizeof place, by_place);
}

static bool takes_part(const struct stock *s, const struct stock_op *op)
{
	return !is_skipped(s, op) && (!op->measured || s->state->id[op->subject].is_bat);
}

/* Reads the lines of a day that take part; returns how many they are. */
static size_t take_day(struct stock *s, struct stock_lines *l, int32_t day)
{
	struct stock_day_ops *d = &s->state->ops;
	struct stock_items items = { s->item, 0, s->items_cap };
	size_t n = 0;

	for (int32_t next = day; next == day;) {
		d->op[d->at] = mem_grow(d->op[d->at], &d->cap[d->at], n + 1, sizeof *s->op);
		stock_lines_next(l, &d->op[d->at][n], &items);
		n += takes_part(s, &d->op[d->at][n]);
		if (!stock_lines_day(l, &next))
			break;
	}
	s->op = d->op[d->at];
	s->item = items.v;
	s->nitems = items.n;
	s->items_cap = items.cap;
	return n;
}

/* ---- the state */

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

static void open_state(struct stock *s, stock_sink *sink, void *context)
{
	stock_ids_widen(s);
	s->state = mem_zeroed(1, sizeof *s->state);
	s->state->nids = s->ids.n;
	s->state->id = s->id;
	if (s->nrefits)
		s->state->fitted = mem_zeroed(s->state->nids, sizeof *s->state->fitted);
	s->state->sink = sink;
	s->state->context = context;
	if (s->nskips)
		qsort(s->skip, s->nskips, sizeof *s->skip, by_place);
	open_doubts(s);
}

/* ---- lots that no later line is about */

static void let_go(struct stock *s, uint32_t lot, int32_t day)
{
	if (s->state->id[lot].last_day == day)
		stock_let_go(s, lot, day);
}

void stock_run(struct stock *s, int32_t last_day, stock_sink *sink, void *context)
{
	struct stock_days *days = stock_days_new();
	struct stock_lines lines;
	int32_t day;

	stock_lines_init(&lines, &s->log, s->disorder);
	open_state(s, sink, context);
	while (stock_lines_day(&lines, &day) && day <= last_day) {
		size_t n = take_day(s, &lines, day);

		s->state->flowed = false;
		stock_day(s, days, n);
		for (size_t i = 0; i < n; i++)
			stock_name_lots(s, &s->op[i], let_go);
		s->state->ops.at ^= s->state->flowed;
	}
	stock_settle_all(s->state);
	stock_days_free(days);
	stock_lines_release(&lines);
}

void stock_restore(struct stock *s, const struct stock_bucket *bucket, size_t n)
{
	open_state(s, NULL, NULL);
	s->state->settled = mem_grow(s->state->settled, &s->state->settled_cap, n, sizeof *s->state->settled);
	for (size_t i = 0; i < n; i++)
		s->state->settled[i] = bucket[i];
	s->state->nsettled = n;
}
