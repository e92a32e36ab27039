#include "trace/kin.h"

#include <stdlib.h>

#include "trace/flow_log.h"

#define KIN_LEAST 1e-12

/* ---- which lots become which */

static uint32_t lot_from(const struct kin *k, const struct log_flow *f)
{
	uint32_t from = flow_log_lot(k->log, f->from);

	return from != flow_log_lot(k->log, f->to) ? from : 0;
}

static void note_nexts(struct kin *k)
{
	const struct flow_log *g = k->log;

	k->next = mem_zeroed(g->nlots + 2, sizeof *k->next);
	k->nexts = mem_array(g->n + 1, sizeof *k->nexts);
	for (size_t i = 0; i < g->n; i++)
		k->next[lot_from(k, &g->flow[i]) + 2]++;
	for (size_t lot = 2; lot < g->nlots + 2; lot++)
		k->next[lot] += k->next[lot - 1];
	for (size_t i = 0; i < g->n; i++)
		k->nexts[k->next[lot_from(k, &g->flow[i]) + 1]++] = flow_log_lot(g, g->flow[i].to);
}

/* ---- which lots came from a tree, or into a place */

static uint32_t tree_of(const struct flow_log *g, const struct log_flow *f)
{
	return f->change == STOCK_BORN ? flow_log_op(g, f)->tree : 0;
}

static uint32_t place_of(const struct flow_log *g, const struct log_flow *f)
{
	return flow_log_place(g, f->to);
}

static void roots_init(struct kin_roots *r, const struct flow_log *g, uint32_t (*of)(const struct flow_log *, const struct log_flow *))
{
	for (size_t i = 0; i < g->n; i++) {
		uint32_t id = of(g, &g->flow[i]);

		r->ids = id >= r->ids ? id + 1 : r->ids;
	}
	r->start = mem_zeroed(r->ids + 2u, sizeof *r->start);
	r->lot = mem_array(g->n, sizeof *r->lot);
	for (size_t i = 0; i < g->n; i++)
		r->start[of(g, &g->flow[i]) + 2]++;
	for (size_t id = 2; id < r->ids + 2u; id++)
		r->start[id] += r->start[id - 1];
	for (size_t i = 0; i < g->n; i++)
		r->lot[r->start[of(g, &g->flow[i]) + 1]++] = flow_log_lot(g, g->flow[i].to);
}

bool kin_is_tree(const struct kin *k, uint32_t id)
{
	return id && id < k->of_tree.ids && k->of_tree.start[id] < k->of_tree.start[id + 1];
}

static void roots_release(struct kin_roots *r)
{
	free(r->start);
	free(r->lot);
}

/* ---- the whole */

void kin_init(struct kin *k, const struct flow_log *log)
{
	*k = (struct kin){ .log = log };
	roots_init(&k->of_tree, log, tree_of);
}

/* For the first question; most tools that trace have none. */
static void open_kin(struct kin *k)
{
	if (k->wood)
		return;
	k->wood = mem_zeroed(k->log->nheaps, sizeof *k->wood);
	k->handle = mem_zeroed(k->log->nheaps, sizeof *k->handle);
	k->seen = mem_zeroed(k->log->nlots + 1, sizeof *k->seen);
	note_nexts(k);
	roots_init(&k->of_place, k->log, place_of);
}

void kin_release(struct kin *k)
{
	roots_release(&k->of_tree);
	roots_release(&k->of_place);
	free(k->heap);
	free(k->wood);
	free(k->handle);
	free(k->seen);
	free(k->lot);
	free(k->flow);
	free(k->next);
	free(k->nexts);
	memset(k, 0, sizeof *k);
}

/* ---- which flows can matter */

static bool is_root(const struct kin *k, const struct log_flow *f)
{
	if (k->of == KIN_TREE)
		return tree_of(k->log, f) == k->id;
	return k->of == KIN_LOT ? flow_log_lot(k->log, f->to) == k->id : place_of(k->log, f) == k->id;
}

static void add_lot(struct kin *k, uint32_t lot)
{
	if (!lot || lot >= k->log->nlots || k->seen[lot])
		return;
	k->seen[lot] = 1;
	k->lot = mem_grow(k->lot, &k->lots_cap, k->nlots + 1, sizeof *k->lot);
	k->lot[k->nlots++] = lot;
}

static void add_roots(struct kin *k)
{
	const struct kin_roots *roots = k->of == KIN_TREE ? &k->of_tree : &k->of_place;

	if (k->of == KIN_LOT) {
		add_lot(k, k->id);
		return;
	}
	for (uint32_t i = k->id < roots->ids ? roots->start[k->id] : 0; k->id < roots->ids && i < roots->start[k->id + 1]; i++)
		add_lot(k, roots->lot[i]);
}

static int by_number(const void *a, const void *b)
{
	const uint32_t *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

static void collect(struct kin *k)
{
	add_roots(k);
	for (size_t i = 0; i < k->nlots; i++) {
		uint32_t lot = k->lot[i];
		size_t n;
		const uint32_t *of = flow_log_to(k->log, lot, &n);

		k->flow = mem_grow(k->flow, &k->flows_cap, k->nflows + n, sizeof *k->flow);
		for (size_t f = 0; f < n; f++)
			k->flow[k->nflows++] = of[f];
		for (uint32_t next = k->next[lot]; next < k->next[lot + 1]; next++)
			add_lot(k, k->nexts[next]);
	}
	if (k->nflows)
		qsort(k->flow, k->nflows, sizeof *k->flow, by_number);
}

/* ---- the way on */

static void go_on(struct kin *k, const struct log_flow *f)
{
	double come = is_root(k, f) ? 1 : k->wood[f->from];
	int64_t n = log_flow_n(f), after = log_flow_after(f);

	if (f->is_handle) {
		k->handle[f->to] = k->wood[f->from];
		return;
	}
	if (n >= after) {
		k->wood[f->to] = come;
		k->handle[f->to] = f->change == STOCK_JOINED ? 0 : k->handle[f->from];
		return;
	}
	k->wood[f->to] += (come - k->wood[f->to]) * (double)n / (double)after;
}

static void clear(struct kin *k)
{
	for (size_t i = 0; i < k->nflows; i++) {
		const struct log_flow *f = &k->log->flow[k->flow[i]];

		k->wood[f->from] = k->wood[f->to] = k->handle[f->from] = k->handle[f->to] = 0;
	}
	for (size_t i = 0; i < k->nlots; i++)
		k->seen[k->lot[i]] = 0;
	k->n = k->nlots = k->nflows = 0;
}

/* A heap is reported once, and its shares are then cleared. */
static void report(struct kin *k, uint32_t heap)
{
	double share = k->wood[heap] + k->handle[heap] - k->wood[heap] * k->handle[heap];

	k->wood[heap] = k->handle[heap] = 0;
	if (share <= KIN_LEAST || flow_log_held(k->log, heap) <= 0)
		return;
	k->heap = mem_grow(k->heap, &k->cap, k->n + 1, sizeof *k->heap);
	k->heap[k->n++] = (struct kin_heap){ heap, flow_log_held(k->log, heap), share };
}

void kin_find(struct kin *k, enum kin_of of, uint32_t id)
{
	open_kin(k);
	clear(k);
	k->of = of;
	k->id = id;
	collect(k);
	for (size_t i = 0; i < k->nflows; i++)
		go_on(k, &k->log->flow[k->flow[i]]);
	for (size_t i = 0; i < k->nflows; i++)
		report(k, k->log->flow[k->flow[i]].to);
}
