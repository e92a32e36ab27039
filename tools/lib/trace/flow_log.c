#include "trace/flow_log.h"

#include <stdlib.h>

void flow_log_init(struct flow_log *g, const struct stock *stock)
{
	*g = (struct flow_log){ .stock = stock };
	intern_init(&g->kinds);
}

void flow_log_release(struct flow_log *g)
{
	intern_release(&g->kinds);
	free(g->held);
	free(g->flow);
	free(g->first);
	free(g->of);
	memset(g, 0, sizeof *g);
}

static uint32_t heap_of(struct flow_log *g, const struct stock_kind *kind)
{
	uint32_t heap = intern_id(&g->kinds, (struct slice){ (const char *)kind, sizeof *kind });
	size_t had = g->held_cap;

	g->held = mem_grow(g->held, &g->held_cap, heap + 1u, sizeof *g->held);
	if (g->held_cap > had)
		memset(g->held + had, 0, (g->held_cap - had) * sizeof *g->held);
	return heap;
}

/* A handle that goes into a bat makes it no more pieces than it was. */
static bool adds(const struct stock_flow *f)
{
	return f->change != STOCK_JOINED || f->from.form != FORM_HANDLE;
}

void flow_log_flow(void *context, const struct stock_flow *f)
{
	struct flow_log *g = context;
	bool from_heap = f->change != STOCK_BORN && f->change != STOCK_FOUND && f->change != STOCK_CAME_OFF;
	struct log_flow row = { .op = (uint32_t)(f->op - g->stock->op), .change = f->change, .n = f->n, .cause = f->cause };

	if (from_heap)
		row.from = heap_of(g, &f->from);
	row.to = heap_of(g, &f->to);
	if (row.from == row.to)
		return;
	if (from_heap)
		g->held[row.from] -= f->n;
	if (adds(f))
		g->held[row.to] += f->n;
	row.after = g->held[row.to];
	g->flow = mem_grow(g->flow, &g->cap, g->n + 1, sizeof *g->flow);
	g->flow[g->n++] = row;
}

void flow_log_end(struct flow_log *g)
{
	g->nlots = g->stock->ids.n;
	g->first = mem_zeroed(g->nlots + 2, sizeof *g->first);
	g->of = mem_array(g->n + 1, sizeof *g->of);
	for (size_t i = 0; i < g->n; i++)
		g->first[flow_log_kind(g, g->flow[i].to).lot + 2]++;
	for (size_t lot = 2; lot < g->nlots + 2; lot++)
		g->first[lot] += g->first[lot - 1];
	for (size_t i = 0; i < g->n; i++)
		g->of[g->first[flow_log_kind(g, g->flow[i].to).lot + 1]++] = (uint32_t)i;
}

struct stock_kind flow_log_kind(const struct flow_log *g, uint32_t heap)
{
	static const struct stock_kind none = { .form = -1 };
	struct stock_kind kind = none;

	if (heap)
		memcpy(&kind, intern_text(&g->kinds, heap).p, sizeof kind);
	return kind;
}

const struct stock_op *flow_log_op(const struct flow_log *g, const struct log_flow *f)
{
	return &g->stock->op[f->op];
}

const uint32_t *flow_log_to(const struct flow_log *g, uint32_t lot, size_t *n)
{
	*n = lot < g->nlots ? g->first[lot + 1] - g->first[lot] : 0;
	return lot < g->nlots ? g->of + g->first[lot] : NULL;
}

bool flow_log_is_handle(const struct flow_log *g, const struct log_flow *f)
{
	return f->change == STOCK_JOINED && flow_log_kind(g, f->from).form == FORM_HANDLE;
}
