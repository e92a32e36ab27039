#include <stdlib.h>

#include "stock/stock_internal.h"

struct dated {
	int32_t day;
	size_t at;       /* in the log */
};

static int by_day(const void *a, const void *b)
{
	const struct dated *x = a, *y = b;

	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (x->at > y->at) - (x->at < y->at);
}

/* The lines that are still to come, by their days. Most books are in that order already, and then none is made. */
struct lines {
	const struct stock_log *log;
	size_t at;               /* of the next one */
	struct dated *order;     /* or NULL */
	size_t n, next;
};

static void sort_lines(struct lines *l)
{
	struct stock_op op;
	struct stock_items items = { .n = 0 };
	size_t cap = 0;

	for (size_t at = 0, next; at < l->log->n; at = next, items.n = 0) {
		next = stock_log_read(l->log, at, &op, &items);
		l->order = mem_grow(l->order, &cap, l->n + 1, sizeof *l->order);
		l->order[l->n++] = (struct dated){ op.day, at };
	}
	qsort(l->order, l->n, sizeof *l->order, by_day);
	free(items.v);
}

static bool next_day(const struct lines *l, int32_t *day)
{
	if (l->order ? l->next == l->n : l->at == l->log->n)
		return false;
	*day = l->order ? l->order[l->next].day : stock_log_day(l->log, l->at);
	return true;
}

static void next_line(struct lines *l, struct stock_op *op, struct stock_items *items)
{
	size_t at = l->order ? l->order[l->next++].at : l->at;

	l->at = stock_log_read(l->log, at, op, items);
}

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
static size_t take_day(struct stock *s, struct lines *l, int32_t day)
{
	struct stock_day_ops *d = &s->state->ops;
	struct stock_items items = { s->item, 0, s->items_cap };
	size_t n = 0;

	for (int32_t next = day; next == day;) {
		d->op[d->at] = mem_grow(d->op[d->at], &d->cap[d->at], n + 1, sizeof *s->op);
		next_line(l, &d->op[d->at][n], &items);
		n += takes_part(s, &d->op[d->at][n]);
		if (!next_day(l, &next))
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
	struct lines lines = { .log = &s->log };
	int32_t day;

	open_state(s, sink, context);
	if (s->disorder)
		sort_lines(&lines);
	while (next_day(&lines, &day) && day <= last_day) {
		size_t n = take_day(s, &lines, day);

		s->state->flowed = false;
		stock_day(s, days, n);
		for (size_t i = 0; i < n; i++)
			stock_name_lots(s, &s->op[i], let_go);
		s->state->ops.at ^= s->state->flowed;
	}
	stock_settle_all(s->state);
	stock_days_free(days);
	free(lines.order);
}

void stock_restore(struct stock *s, const struct stock_bucket *bucket, size_t n)
{
	open_state(s, NULL, NULL);
	s->state->settled = mem_grow(s->state->settled, &s->state->settled_cap, n, sizeof *s->state->settled);
	for (size_t i = 0; i < n; i++)
		s->state->settled[i] = bucket[i];
	s->state->nsettled = n;
}
