#include "trace/lineage.h"

#include <stdlib.h>

#include "trace/flow_log.h"

/* Below that a chance is an error of rounding. */
#define LINEAGE_LEAST 1e-12

static bool of_handle(const struct lineage *w)
{
	return w->of == LINEAGE_HANDLE;
}

/* ---- which flows can matter */

static void add_lot(struct lineage *w, uint32_t lot)
{
	if (!lot || lot >= w->log->nlots || w->seen[lot])
		return;
	w->seen[lot] = 1;
	w->lot = mem_grow(w->lot, &w->lots_cap, w->nlots + 1, sizeof *w->lot);
	w->lot[w->nlots++] = lot;
}

/* A bat's own part goes on in the lot of that part. */
static bool goes_back(const struct lineage *w, const struct log_flow *f)
{
	if (!f->from)
		return false;
	return f->change != STOCK_JOINED || f->is_handle == of_handle(w);
}

static void add_flows(struct lineage *w, uint32_t lot)
{
	size_t n;
	const uint32_t *of = flow_log_to(w->log, lot, &n);

	w->flow = mem_grow(w->flow, &w->flows_cap, w->nflows + n, sizeof *w->flow);
	for (size_t i = 0; i < n; i++) {
		const struct log_flow *f = &w->log->flow[of[i]];

		w->flow[w->nflows++] = of[i];
		if (goes_back(w, f))
			add_lot(w, flow_log_lot(w->log, f->from));
	}
}

/* The lots of a charge, or of a tree. */
static void add_first_lots(struct lineage *w)
{
	for (size_t i = 0; i < w->log->n; i++) {
		const struct log_flow *f = &w->log->flow[i];

		if (w->of == LINEAGE_CHARGE ? flow_log_place(w->log, f->to) == w->id : f->change == STOCK_BORN && flow_log_op(w->log, f)->tree == w->id)
			add_lot(w, flow_log_lot(w->log, f->to));
	}
}

static int by_number(const void *a, const void *b)
{
	const uint32_t *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

/* Whether all that matters is reached from heaps of today, so that few flows need be looked at. */
static bool is_of_now(const struct lineage *w)
{
	return w->of == LINEAGE_BAT || w->of == LINEAGE_HANDLE || w->of == LINEAGE_PIECES;
}

static void collect(struct lineage *w)
{
	if (w->of == LINEAGE_LOT)
		add_lot(w, w->id);
	else
		add_first_lots(w);
	for (size_t i = 0; i < w->nlots; i++)
		add_flows(w, w->lot[i]);
	if (w->nflows)
		qsort(w->flow, w->nflows, sizeof *w->flow, by_number);
}

/* ---- where the pieces that are asked about enter the way back */

/* Whether a heap is of what was asked for, as one heap. */
static bool is_own(const struct lineage *w, uint32_t heap)
{
	if (!heap)
		return false;
	return w->of == LINEAGE_LOT ? flow_log_lot(w->log, heap) == w->id : w->of == LINEAGE_CHARGE && flow_log_place(w->log, heap) == w->id;
}

static bool enters(const struct lineage *w, const struct log_flow *f)
{
	if (w->of == LINEAGE_TREE)
		return f->change == STOCK_BORN && flow_log_op(w->log, f)->tree == w->id;
	return f->change != STOCK_CAME_OFF && is_own(w, f->to) && !is_own(w, f->from);
}

static int64_t pieces_in(const struct lineage *w)
{
	int64_t n = 0;

	for (size_t i = 0; i < w->nflows; i++)
		if (enters(w, &w->log->flow[w->flow[i]]))
			n += log_flow_n(&w->log->flow[w->flow[i]]);
	return n;
}

static bool is_in_stock(const struct lineage *w, const struct stock_kind *kind)
{
	return kind->place != w->log->stock->sold && kind->place != w->log->stock->culled;
}

/* Whether the pieces of a heap of the id's lot are asked about, as they are now. */
static bool counts_now(const struct lineage *w, uint32_t heap)
{
	struct stock_kind kind = flow_log_kind(w->log, heap);

	return kind.lot == w->id && flow_log_held(w->log, heap) > 0 && (w->of == LINEAGE_PIECES ? is_in_stock(w, &kind) : kind.form == FORM_BAT);
}

/*
 * Of what is there now, the flows that are looked at next are a binary heap, the latest first: of each heap of
 * pieces that has a chance, the last one to it before those looked at. Then only flows on the way are met.
 */
static void look_at(struct lineage *w, uint32_t flow_after)
{
	size_t at = w->nnext;

	if (!flow_after)
		return;
	w->next = mem_grow(w->next, &w->nexts_cap, w->nnext + 1, sizeof *w->next);
	w->nnext++;
	for (; at && w->next[(at - 1) / 2] < flow_after; at = (at - 1) / 2)
		w->next[at] = w->next[(at - 1) / 2];
	w->next[at] = flow_after;
}

/* The latest, as index + 1. */
static uint32_t look_next(struct lineage *w)
{
	uint32_t first = w->next[0], last = w->next[--w->nnext];
	size_t at = 0;

	for (size_t child; (child = 2 * at + 1) < w->nnext; at = child) {
		child += child + 1 < w->nnext && w->next[child + 1] > w->next[child];
		if (w->next[child] <= last)
			break;
		w->next[at] = w->next[child];
	}
	w->next[at] = last;
	return first;
}

/* The heaps in which the pieces are now; their chances add up to 1. Returns how many pieces there are. */
static int64_t pieces_now(struct lineage *w)
{
	int64_t all = 0;
	size_t n;
	const uint32_t *of = flow_log_to(w->log, w->id, &n);

	for (size_t i = 0; i < n; i++) {
		uint32_t heap = w->log->flow[of[i]].to;

		if (w->mass[heap] < 0 || !counts_now(w, heap))
			continue;
		w->mass[heap] = -(double)flow_log_held(w->log, heap);
		all += flow_log_held(w->log, heap);
		look_at(w, w->log->heap[heap].last);
	}
	for (size_t i = 0; i < n; i++) {
		double *mass = &w->mass[w->log->flow[of[i]].to];

		if (*mass < 0)
			*mass /= -(double)all;
	}
	return all;
}

/* ---- the way back */

static void add_step(struct lineage *w, uint32_t flow, double share)
{
	w->step = mem_grow(w->step, &w->cap, w->n + 1, sizeof *w->step);
	w->step[w->n++] = (struct lineage_step){ flow, share };
}

static void pass_back(struct lineage *w, uint32_t at, const struct log_flow *f, double share)
{
	add_step(w, at, share);
	if (goes_back(w, f))
		w->mass[f->from] += share;
}

/* Which part of what the heap may hold came by this flow. */
static double came_by(struct lineage *w, const struct log_flow *f)
{
	double mass = w->mass[f->to], share;
	int64_t n = log_flow_n(f), after = log_flow_after(f);

	/* a bat that came in as a bat has a handle of no lot */
	if (of_handle(w) && !f->from && flow_log_form(w->log, f->to) == FORM_BAT)
		return 0;
	if (f->change == STOCK_CAME_OFF || (f->change == STOCK_JOINED && !goes_back(w, f)))
		return 0;
	share = n >= after ? mass : mass * (double)n / (double)after;
	w->mass[f->to] = n >= after || f->is_handle ? 0 : mass - share;
	return share;
}

static void go_back(struct lineage *w)
{
	double all = (double)w->pieces;

	for (size_t i = w->nflows; i-- > 0;) {
		const struct log_flow *f = &w->log->flow[w->flow[i]];
		double share;

		if (enters(w, f) || (is_own(w, f->to) && f->change != STOCK_CAME_OFF)) {
			if (!is_own(w, f->from) && enters(w, f))
				pass_back(w, w->flow[i], f, (double)log_flow_n(f) / all);
			else
				add_step(w, w->flow[i], (double)log_flow_n(f) / all);
			continue;
		}
		share = came_by(w, f);
		if (share > LINEAGE_LEAST)
			pass_back(w, w->flow[i], f, share);
	}
}

static void meet(struct lineage *w, uint32_t flow)
{
	w->flow = mem_grow(w->flow, &w->flows_cap, w->nflows + 1, sizeof *w->flow);
	w->flow[w->nflows++] = flow;
}

/* The same from heaps of today: a heap without a chance is passed over, and where it gets one its flows are looked at. */
static void go_back_from_now(struct lineage *w)
{
	while (w->nnext) {
		uint32_t at = look_next(w) - 1;
		const struct log_flow *f = &w->log->flow[at];
		double share = came_by(w, f);

		meet(w, at);
		if (w->mass[f->to] != 0)
			look_at(w, f->before_to);
		if (share <= LINEAGE_LEAST)
			continue;
		if (goes_back(w, f) && w->mass[f->from] == 0)
			look_at(w, f->before_from);
		pass_back(w, at, f, share);
	}
}

/* Only what was met is cleared. */
void lineage_clear(struct lineage *w)
{
	for (size_t i = 0; i < w->nflows; i++) {
		const struct log_flow *f = &w->log->flow[w->flow[i]];

		w->mass[f->from] = w->mass[f->to] = 0;
	}
	for (size_t i = 0; i < w->nlots; i++)
		w->seen[w->lot[i]] = 0;
	w->n = w->nlots = w->nflows = 0;
	w->pieces = 0;
}

void lineage_find(struct lineage *w, enum lineage_of of, uint32_t id)
{
	lineage_clear(w);
	w->of = of;
	w->id = id;
	if (is_of_now(w)) {
		w->pieces = pieces_now(w);
		go_back_from_now(w);
		return;
	}
	collect(w);
	w->pieces = pieces_in(w);
	if (w->pieces)
		go_back(w);
}

void lineage_init(struct lineage *w, const struct flow_log *log)
{
	*w = (struct lineage){ .log = log };
	w->mass = mem_zeroed(log->nheaps, sizeof *w->mass);
	w->seen = mem_zeroed(log->nlots + 1, sizeof *w->seen);
}

void lineage_release(struct lineage *w)
{
	free(w->step);
	free(w->mass);
	free(w->seen);
	free(w->lot);
	free(w->flow);
	free(w->next);
	memset(w, 0, sizeof *w);
}
