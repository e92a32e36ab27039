#include "trace/flow_log.h"

#include <stdlib.h>

void flow_log_init(struct flow_log *g, const struct stock *stock)
{
	*g = (struct flow_log){ .stock = stock };
	kind_ids_init(&g->kinds);
}

void flow_log_release(struct flow_log *g)
{
	kind_ids_release(&g->kinds);
	free(g->heap);
	free(g->flow);
	free(g->op);
	free(g->first);
	free(g->of);
	memset(g, 0, sizeof *g);
}

static uint32_t heap_of(struct flow_log *g, const struct stock_kind *kind)
{
	uint32_t heap = kind_ids_id(&g->kinds, kind);
	size_t had = g->heaps_cap;

	g->heap = mem_grow(g->heap, &g->heaps_cap, heap + 1u, sizeof *g->heap);
	if (g->heaps_cap > had)
		memset(g->heap + had, 0, (g->heaps_cap - had) * sizeof *g->heap);
	return heap;
}

/* A line's flows come one after another. */
static uint32_t op_of(struct flow_log *g, const struct stock_op *op)
{
	if (!g->nops || g->at_log != op->at_log) {
		g->op = mem_grow(g->op, &g->ops_cap, g->nops + 1, sizeof *g->op);
		g->op[g->nops++] = (struct log_op){ op->event, op->day, op->tree, op->by };
		g->at_log = op->at_log;
	}
	return (uint32_t)g->nops - 1;
}

void flow_log_flow(void *context, const struct stock_flow *f)
{
	struct flow_log *g = context;
	bool from_heap = f->change != STOCK_BORN && f->change != STOCK_FOUND && f->change != STOCK_CAME_OFF;
	struct log_flow row = { .change = (uint16_t)f->change, .n = f->n, .cause = f->cause,
		.is_handle = f->change == STOCK_JOINED && f->from.form == FORM_HANDLE };
	struct log_heap *to;

	if (from_heap)
		row.from = heap_of(g, &f->from);
	row.to = heap_of(g, &f->to);
	if (row.from == row.to)
		return;
	row.op = op_of(g, f->op);
	to = &g->heap[row.to];
	row.before_to = to->last;
	if (from_heap) {
		row.before_from = g->heap[row.from].last;
		g->heap[row.from].held -= f->n;
	}
	if (!row.is_handle) /* which makes a bat no more pieces than it was */
		to->held += f->n;
	row.after = to->held;
	g->flow = mem_grow(g->flow, &g->cap, g->n + 1, sizeof *g->flow);
	g->flow[g->n++] = row;
	to->last = (uint32_t)g->n;
}

void flow_log_end(struct flow_log *g)
{
	g->nlots = g->stock->ids.n;
	g->first = mem_zeroed(g->nlots + 2, sizeof *g->first);
	g->of = mem_array(g->n + 1, sizeof *g->of);
	for (size_t i = 0; i < g->n; i++)
		g->first[g->kinds.kind[g->flow[i].to].lot + 2]++;
	for (size_t lot = 2; lot < g->nlots + 2; lot++)
		g->first[lot] += g->first[lot - 1];
	for (size_t i = 0; i < g->n; i++)
		g->of[g->first[g->kinds.kind[g->flow[i].to].lot + 1]++] = (uint32_t)i;
}

const uint32_t *flow_log_to(const struct flow_log *g, uint32_t lot, size_t *n)
{
	*n = lot < g->nlots ? g->first[lot + 1] - g->first[lot] : 0;
	return lot < g->nlots ? g->of + g->first[lot] : NULL;
}
