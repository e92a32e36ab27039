#include "trace/flow_log.h"

#include <stdlib.h>

/* A lot with more heaps than LOG_CHAIN_MOST has them in `many`. */
enum { LOG_CHAIN_MOST = 8 };
#define LOG_MANY UINT32_MAX

/* More pieces than a flow has space for. */
#define LOG_PIECES_MOST (((int64_t)1 << 46) - 1)

void flow_log_init(struct flow_log *g, const struct stock *stock)
{
	*g = (struct flow_log){ .stock = stock, .nheaps = 1 };
	kind_ids_init(&g->sorts);
	g->heap = mem_grow(NULL, &g->heaps_cap, 64, sizeof *g->heap);
	g->heap[0] = (struct log_heap){ .lot = 0 };
}

void flow_log_release(struct flow_log *g)
{
	kind_ids_release(&g->sorts);
	hash_index_release(&g->many);
	free(g->heap);
	free(g->newest);
	free(g->flow);
	free(g->op);
	free(g->first);
	free(g->of);
	memset(g, 0, sizeof *g);
}

/* ---- arrays that may become large */

enum { LARGE_PAGE = 2 * 1024 * 1024, LARGE_GROWTH = 4 };

/* On large pages, with space that takes no memory before it is used. */
static void *move_to_large(void *array, size_t had, size_t *cap, size_t size)
{
	void *large;

	*cap = LARGE_GROWTH * had;
	large = mem_store(*cap, size);
	memcpy(large, array, had * size);
	free(array);
	return large;
}

/* The same as mem_grow(), one more at a time; but an array that becomes larger than a large page is put on such pages. */
static inline void *grow(void *array, size_t *cap, size_t need, size_t size)
{
	if (need <= *cap)
		return array;
	return *cap * size >= LARGE_PAGE / LARGE_GROWTH ? move_to_large(array, *cap, cap, size) : mem_grow(array, cap, need, size);
}

/* ---- heaps */

static uint64_t hash_of(uint32_t lot, uint32_t sort)
{
	return hash_near(lot, sort);
}

static uint32_t find_of_many(const struct flow_log *g, uint32_t lot, uint32_t sort)
{
	struct hash_probe p = hash_probe_of(&g->many, hash_of(lot, sort));

	while (hash_probe_next(&g->many, &p))
		if (g->heap[p.row].lot == lot && g->heap[p.row].sort == sort)
			return p.row;
	return 0;
}

/* How many heaps of the lot there are, unless it is found; then *heap is it. */
static size_t find_of_few(const struct flow_log *g, uint32_t lot, uint32_t sort, uint32_t *heap)
{
	size_t n = 0;

	for (uint32_t at = g->newest[lot]; at; at = g->heap[at].next, n++)
		if (g->heap[at].sort == sort) {
			*heap = at;
			break;
		}
	return n;
}

static void index_lot(struct flow_log *g, uint32_t lot)
{
	for (uint32_t at = g->newest[lot]; at; at = g->heap[at].next)
		hash_index_add(&g->many, hash_of(lot, g->heap[at].sort), at);
	g->newest[lot] = LOG_MANY;
}

static uint32_t add_heap(struct flow_log *g, uint32_t lot, uint32_t sort)
{
	g->heap = grow(g->heap, &g->heaps_cap, g->nheaps + 1u, sizeof *g->heap);
	g->heap[g->nheaps] = (struct log_heap){ .lot = lot, .sort = sort };
	if (g->newest[lot] == LOG_MANY)
		hash_index_add(&g->many, hash_of(lot, sort), g->nheaps);
	else {
		g->heap[g->nheaps].next = g->newest[lot];
		g->newest[lot] = g->nheaps;
	}
	return g->nheaps++;
}

static bool is_sort(const struct stock_kind *a, const struct stock_kind *b)
{
	return a->place == b->place && a->type == b->type && a->grade == b->grade && a->class == b->class && a->party == b->party && a->form == b->form;
}

static uint32_t sort_of(struct flow_log *g, const struct stock_kind *kind)
{
	uint32_t some = kind->place * 9 + kind->grade * 7 + kind->type * 5 + kind->class * 3 + kind->party + (uint32_t)kind->form;
	uint32_t *met = &g->met_sort[some % LOG_SORTS];
	struct stock_kind bare;

	if (*met && is_sort(&g->sorts.kind[*met], kind))
		return *met;
	bare = *kind;
	bare.lot = kind->place; /* so that sorts are spread in their table */
	*met = kind_ids_id(&g->sorts, &bare);
	return *met;
}

static uint32_t look_up(struct flow_log *g, uint32_t lot, uint32_t sort)
{
	size_t had = g->newest_cap;
	uint32_t heap = 0;

	g->newest = mem_grow(g->newest, &g->newest_cap, lot + (size_t)1, sizeof *g->newest);
	if (g->newest_cap > had)
		memset(g->newest + had, 0, (g->newest_cap - had) * sizeof *g->newest);
	if (g->newest[lot] == LOG_MANY)
		heap = find_of_many(g, lot, sort);
	else if (find_of_few(g, lot, sort, &heap) >= LOG_CHAIN_MOST && !heap)
		index_lot(g, lot);
	return heap ? heap : add_heap(g, lot, sort);
}

/* Lines of a day that are alike are carried out in turn, and several are about the same pieces. */
static uint32_t heap_of(struct flow_log *g, const struct stock_kind *kind, int which)
{
	uint32_t *met = &g->met[which][(uint32_t)kind->form % LOG_FORMS];
	const struct log_heap *heap = &g->heap[*met];

	if (!*met || heap->lot != kind->lot || !is_sort(&g->sorts.kind[heap->sort], kind))
		*met = look_up(g, kind->lot, sort_of(g, kind));
	return *met;
}

/* ---- flows */

static void set_numbers(struct log_flow *row, int64_t n, int64_t after)
{
	uint64_t few = (uint64_t)(n < LOG_PIECES_MOST ? n : LOG_PIECES_MOST), then = (uint64_t)(after < LOG_PIECES_MOST ? after > 0 ? after : 0 : LOG_PIECES_MOST);

	row->n_low = (uint32_t)few;
	row->n_high = few >> 32 & 0x3fff;
	row->after_low = (uint32_t)then;
	row->after_high = then >> 32 & 0x3fff;
}

/* A line's flows come one after another. */
static uint32_t op_of(struct flow_log *g, const struct stock_op *op)
{
	if (!g->nops || g->at_log != op->at_log) {
		g->op = grow(g->op, &g->ops_cap, g->nops + 1, sizeof *g->op);
		g->op[g->nops++] = (struct log_op){ op->event, op->day, op->tree, op->by };
		g->at_log = op->at_log;
	}
	return (uint32_t)g->nops - 1;
}

/*
 * Whether nothing that is asked of bats can come of the pieces, as they are now: they were culled, or sold and no line has them
 * come back, or they are handles.
 */
static bool is_over(const struct flow_log *g, const struct stock_flow *f)
{
	const struct stock_kind *to = &f->to;

	if (to->form == FORM_BAT || f->from.place == g->stock->sold)
		return false;
	return to->form == FORM_HANDLE || to->place == g->stock->culled ||
		(to->place == g->stock->sold && !(stock_said_of(g->stock, to->lot) & STOCK_SAID_BACK));
}

static void take_out(struct flow_log *g, const struct stock_kind *from, int64_t n)
{
	if (from->form != FORM_HANDLE && from->place != g->stock->culled)
		g->heap[heap_of(g, from, 0)].held -= n;
}

void flow_log_flow(void *context, const struct stock_flow *f)
{
	struct flow_log *g = context;
	bool from_heap = f->change != STOCK_BORN && f->change != STOCK_FOUND && f->change != STOCK_CAME_OFF;
	struct log_flow row = { .change = (unsigned)f->change & 7u, .cause = f->cause & 0x1fffffffu,
		.is_handle = f->change == STOCK_JOINED && f->from.form == FORM_HANDLE, .is_sold = f->to.place == g->stock->sold,
		.was_sold = from_heap && f->from.place == g->stock->sold };
	struct log_heap *to;

	if (g->bats_only && is_over(g, f)) {
		if (from_heap)
			take_out(g, &f->from, f->n);
		return;
	}
	if (from_heap)
		row.from = heap_of(g, &f->from, 0);
	row.to = heap_of(g, &f->to, 1);
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
	set_numbers(&row, f->n, to->held);
	g->flow = grow(g->flow, &g->cap, g->n + 1, sizeof *g->flow);
	g->flow[g->n++] = row;
	g->nsales += row.is_sold;
	to->last = (uint32_t)g->n;
}

void flow_log_end(struct flow_log *g)
{
	g->nlots = g->stock->ids.n;
	g->first = mem_table(g->nlots + 2, sizeof *g->first);
	g->of = mem_store(g->n + 1, sizeof *g->of);
	for (size_t i = 0; i < g->n; i++)
		g->first[flow_log_lot(g, g->flow[i].to) + 2]++;
	for (size_t lot = 2; lot < g->nlots + 2; lot++)
		g->first[lot] += g->first[lot - 1];
	for (size_t i = 0; i < g->n; i++)
		g->of[g->first[flow_log_lot(g, g->flow[i].to) + 1]++] = (uint32_t)i;
}

const uint32_t *flow_log_to(const struct flow_log *g, uint32_t lot, size_t *n)
{
	*n = lot < g->nlots ? g->first[lot + 1] - g->first[lot] : 0;
	return lot < g->nlots ? g->of + g->first[lot] : NULL;
}
