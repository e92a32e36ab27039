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
	return f->change != STOCK_JOINED || flow_log_is_handle(w->log, f) == of_handle(w);
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
			add_lot(w, flow_log_kind(w->log, f->from).lot);
	}
}

/* The lots of a charge, or of a tree. */
static void add_first_lots(struct lineage *w)
{
	for (size_t i = 0; i < w->log->n; i++) {
		const struct log_flow *f = &w->log->flow[i];
		struct stock_kind to = flow_log_kind(w->log, f->to);

		if (w->of == LINEAGE_CHARGE ? to.place == w->id : f->change == STOCK_BORN && flow_log_op(w->log, f)->tree == w->id)
			add_lot(w, to.lot);
	}
}

static int by_number(const void *a, const void *b)
{
	const uint32_t *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

static void collect(struct lineage *w)
{
	if (w->of == LINEAGE_CHARGE || w->of == LINEAGE_TREE)
		add_first_lots(w);
	else
		add_lot(w, w->id);
	for (size_t i = 0; i < w->nlots; i++)
		add_flows(w, w->lot[i]);
	if (w->nflows)
		qsort(w->flow, w->nflows, sizeof *w->flow, by_number);
}

/* ---- where the pieces that are asked about enter the way back */

/* Whether a heap is of what was asked for, as one heap. */
static bool is_own(const struct lineage *w, uint32_t heap)
{
	struct stock_kind kind = flow_log_kind(w->log, heap);

	if (!heap)
		return false;
	return w->of == LINEAGE_LOT ? kind.lot == w->id : w->of == LINEAGE_CHARGE ? kind.place == w->id : false;
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
			n += w->log->flow[w->flow[i]].n;
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

	return kind.lot == w->id && w->log->held[heap] > 0 && (w->of == LINEAGE_PIECES ? is_in_stock(w, &kind) : kind.form == FORM_BAT);
}

/* The heaps in which the pieces are now; their chances add up to 1. Returns how many pieces there are. */
static int64_t pieces_now(struct lineage *w)
{
	int64_t all = 0;

	for (size_t i = 0; i < w->nflows; i++) {
		uint32_t heap = w->log->flow[w->flow[i]].to;

		if (w->mass[heap] < 0 || !counts_now(w, heap))
			continue;
		w->mass[heap] = -(double)w->log->held[heap];
		all += w->log->held[heap];
	}
	for (size_t i = 0; i < w->nflows; i++) {
		double *mass = &w->mass[w->log->flow[w->flow[i]].to];

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

	/* a bat that came in as a bat has a handle of no lot */
	if (of_handle(w) && !f->from && flow_log_kind(w->log, f->to).form == FORM_BAT)
		return 0;
	if (f->change == STOCK_CAME_OFF || (f->change == STOCK_JOINED && !goes_back(w, f)))
		return 0;
	share = f->n >= f->after ? mass : mass * (double)f->n / (double)f->after;
	w->mass[f->to] = f->n >= f->after || flow_log_is_handle(w->log, f) ? 0 : mass - share;
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
				pass_back(w, w->flow[i], f, (double)f->n / all);
			else
				add_step(w, w->flow[i], (double)f->n / all);
			continue;
		}
		share = came_by(w, f);
		if (share > LINEAGE_LEAST)
			pass_back(w, w->flow[i], f, share);
	}
}

/* Only what was met is cleared. */
static void clear(struct lineage *w)
{
	for (size_t i = 0; i < w->nflows; i++) {
		const struct log_flow *f = &w->log->flow[w->flow[i]];

		w->mass[f->from] = w->mass[f->to] = 0;
	}
	for (size_t i = 0; i < w->nlots; i++)
		w->seen[w->lot[i]] = 0;
	w->n = w->nlots = w->nflows = 0;
}

void lineage_find(struct lineage *w, enum lineage_of of, uint32_t id)
{
	clear(w);
	w->of = of;
	w->id = id;
	collect(w);
	w->pieces = of == LINEAGE_BAT || of == LINEAGE_HANDLE || of == LINEAGE_PIECES ? pieces_now(w) : pieces_in(w);
	if (w->pieces)
		go_back(w);
}

void lineage_init(struct lineage *w, const struct flow_log *log)
{
	*w = (struct lineage){ .log = log };
	w->mass = mem_zeroed(log->kinds.n + 1u, sizeof *w->mass);
	w->seen = mem_zeroed(log->nlots + 1, sizeof *w->seen);
}

void lineage_release(struct lineage *w)
{
	free(w->step);
	free(w->mass);
	free(w->seen);
	free(w->lot);
	free(w->flow);
	memset(w, 0, sizeof *w);
}
