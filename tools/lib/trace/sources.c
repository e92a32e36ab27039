#include "trace/sources.h"

#include <math.h>
#include <stdlib.h>

#include "trace/trace.h"

void sources_release(struct sources *s)
{
	free(s->row);
	*s = (struct sources){ .n = 0 };
}

static uint32_t tree_of(const struct log_op *op)
{
	return op->event->id == EVENT_CLEAVE ? op->tree : 0;
}

/* Sources are looked for from the last one back, for those of one lot come one after another. */
static struct source *source_of(struct sources *s, uint32_t tree, uint32_t lot, int32_t form)
{
	for (size_t i = s->n; i-- > 0;)
		if (s->row[i].tree == tree && s->row[i].lot == lot && s->row[i].form == form)
			return &s->row[i];
	s->row = mem_grow(s->row, &s->cap, s->n + 1, sizeof *s->row);
	s->row[s->n] = (struct source){ .tree = tree, .lot = lot, .form = form, .first = INT32_MAX, .last = INT32_MIN };
	return &s->row[s->n++];
}

static void add(struct sources *s, const struct trace *t, const struct log_flow *f, double share)
{
	const struct log_op *op = flow_log_op(&t->log, f);
	struct stock_kind to = flow_log_kind(&t->log, f->to);
	struct source *row = source_of(s, tree_of(op), to.lot, to.form);

	row->share += share;
	row->n += log_flow_n(f);
	row->first = op->day < row->first ? op->day : row->first;
	row->last = op->day > row->last ? op->day : row->last;
	row->stated = stated_source_of(&t->stated, row->tree ? row->tree : row->lot);
}

static bool came_in(const struct log_flow *f)
{
	return f->change == STOCK_BORN || f->change == STOCK_FOUND;
}

void sources_add(struct sources *s, const struct trace *t, const struct lineage *way)
{
	for (size_t i = 0; i < way->n; i++)
		if (came_in(&t->log.flow[way->step[i].flow]))
			add(s, t, &t->log.flow[way->step[i].flow], way->step[i].share);
}

/* What a tally finds is a source of a lot that came in no other way. */
static bool is_source(const struct trace *t, const struct log_flow *f)
{
	struct stock_kind to = flow_log_kind(&t->log, f->to);
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, to.lot, &n);

	for (size_t i = 0; f->change == STOCK_FOUND && i < n; i++) {
		const struct log_flow *other = &t->log.flow[of[i]];

		if (other->change == STOCK_BORN || (other->from && flow_log_lot(&t->log, other->from) != to.lot))
			return false;
	}
	return came_in(f);
}

void sources_add_all(struct sources *s, const struct trace *t, int32_t from, int32_t to)
{
	for (uint32_t lot = 1; lot < t->log.nlots; lot++) {
		size_t n, before = s->n;
		const uint32_t *of = flow_log_to(&t->log, lot, &n);
		struct sources own = { .n = 0 };

		for (size_t i = 0; i < n; i++) {
			const struct log_flow *f = &t->log.flow[of[i]];
			int32_t day = flow_log_op(&t->log, f)->day;

			if (is_source(t, f) && day >= from && day <= to)
				add(&own, t, f, 0);
		}
		s->row = mem_grow(s->row, &s->cap, before + own.n, sizeof *s->row);
		for (size_t i = 0; i < own.n; i++) {
			s->row[before + i] = own.row[i];
			s->row[before + i].share = 1;
		}
		s->n += own.n;
		sources_release(&own);
	}
}

/* ---- order */

struct named {
	struct source source;
	struct slice tree, lot;
};

static int by_share(const void *a, const void *b)
{
	const struct named *x = a, *y = b;
	double more = x->source.share - y->source.share;
	int order;

	if (x->source.form != y->source.form)
		return x->source.form < y->source.form ? -1 : 1;
	if (more > 1e-9 || more < -1e-9)
		return more > 0 ? -1 : 1;
	order = slice_cmp(x->tree, y->tree);
	return order ? order : slice_cmp(x->lot, y->lot);
}

void sources_sort(struct sources *s, const struct trace *t)
{
	struct named *named;

	for (size_t i = 0; i < s->n; i++)
		s->row[i].share = floor(s->row[i].share * 1e9 + 0.5) / 1e9; /* the order of a day's lines is in the last bits */
	if (s->n < 2)
		return;
	named = mem_array(s->n, sizeof *named);
	for (size_t i = 0; i < s->n; i++)
		named[i] = (struct named){ s->row[i], trace_text(t, s->row[i].tree), trace_text(t, s->row[i].lot) };
	qsort(named, s->n, sizeof *named, by_share);
	for (size_t i = 0; i < s->n; i++)
		s->row[i] = named[i].source;
	free(named);
}
