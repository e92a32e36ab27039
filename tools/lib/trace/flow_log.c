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

void flow_log_flow(void *context, const struct stock_flow *f)
{
	struct flow_log *g = context;
	bool from_heap = f->change != STOCK_BORN && f->change != STOCK_FOUND && f->change != STOCK_CAME_OFF;
	struct log_flow row = { .op = (uint32_t)(f->op - g->stock->op), .change = (uint16_t)f->change, .n = f->n, .cause = f->cause,
		.is_handle = f->change == STOCK_JOINED && f->from.form == FORM_HANDLE };
	struct log_heap *to;

	if (from_heap)
		row.from = heap_of(g, &f->from);
	row.to = heap_of(g, &f->to);
	if (row.from == row.to)
		return;
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

const struct stock_op *flow_log_op(const struct flow_log *g, const struct log_flow *f)
{
	return &g->stock->op[f->op];
}

const uint32_t *flow_log_to(const struct flow_log *g, uint32_t lot, size_t *n)
{
	*n = lot < g->nlots ? g->first[lot + 1] - g->first[lot] : 0;
	return lot < g->nlots ? g->of + g->first[lot] : NULL;
}
