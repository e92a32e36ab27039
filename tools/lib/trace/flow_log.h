/*
 * flow_log.h - every movement of pieces, kept so that it can be followed back and forth.
 *
 * Pieces that are alike and at one place are a heap (a stock_kind). A flow takes pieces from one heap to
 * another; one that changes nothing, such as a tally that finds the book right, is not kept. The flows are
 * in the order in which they happened. For who asks of bats alone, what was culled, what handles did before they went into a bat, and
 * what was sold for good are not kept, but for bats. Memory: 36 bytes a flow, 24 a heap, and 24 a line; 28 for each sort of
 * pieces in a place. Numbers of pieces are kept up to 2^46.
 */
#ifndef WITHY_FLOW_LOG_H
#define WITHY_FLOW_LOG_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/kind_ids.h"

/* What is kept of a line. */
struct log_op {
	const struct event_def *event;
	int32_t day;
	uint32_t tree, by;         /* of the stock_op; by is 0 for nobody */
};

enum { LOG_FORMS = 8, LOG_SORTS = 256 };

struct log_flow {
	uint32_t from, to;         /* heaps; from is 0 for pieces that came into the book, and for a handle that came off */
	uint32_t op;               /* in flow_log.op */
	uint32_t before_from, before_to; /* the last flow before it that goes to `from`, and to `to`: index + 1 */
	uint32_t n_low, after_low; /* see log_flow_n(), log_flow_after() */
	uint32_t n_high : 14, after_high : 14;
	uint32_t is_handle : 1;    /* a handle goes into a bat */
	uint32_t is_sold : 1, was_sold : 1; /* the heap `to`, and `from`, is of what was sold */
	uint32_t change : 3;       /* enum stock_change */
	uint32_t cause : 29;       /* of a loss */
};

/* A heap: of which lot, what and where, how many it holds now, and the last flow that went to it: index + 1. */
struct log_heap {
	uint32_t lot, sort;        /* sort: of `sorts` */
	uint32_t next, last;       /* next: another heap of the lot, of a lot with few */
	int64_t held;
};

struct flow_log {
	const struct stock *stock;
	struct kind_ids sorts;     /* kinds, but for their lot */
	bool bats_only;            /* only ways of the wood of bats are asked, their handles, and what comes back: the caller's to set */
	uint32_t met[2][LOG_FORMS]; /* the heaps that were met last: as `from` and as `to`, by form */
	uint32_t met_sort[LOG_SORTS]; /* sorts that were met lately, by some bits of them */
	struct log_heap *heap;     /* from 1 on; number 0 is none */
	uint32_t nheaps;           /* number 0 included */
	size_t heaps_cap;
	uint32_t *newest;          /* by lot: a heap of it, or LOG_MANY */
	size_t newest_cap;
	struct hash_index many;    /* the heaps of lots that have many */
	struct log_flow *flow;
	size_t n, cap, nsales;     /* nsales: those with is_sold */
	struct log_op *op;
	size_t nops, ops_cap;
	size_t at_log;             /* of the last of them in the log of the stock */
	uint32_t *first, *of;      /* by lot: the flows that go to it are of[first[lot]] up to of[first[lot + 1]] */
	size_t nlots;
};

void flow_log_init(struct flow_log *g, const struct stock *stock);
void flow_log_release(struct flow_log *g);

/* The stock_sink; its context is the `struct flow_log`. */
void flow_log_flow(void *context, const struct stock_flow *flow);

/* After stock_run(), before anything is asked. */
void flow_log_end(struct flow_log *g);

/* The kind of a heap; of 0 one of no form. */
static inline struct stock_kind flow_log_kind(const struct flow_log *g, uint32_t heap)
{
	struct stock_kind kind = g->sorts.kind[g->heap[heap].sort];

	kind.lot = g->heap[heap].lot;
	return kind;
}

/* Parts of it. */
static inline uint32_t flow_log_lot(const struct flow_log *g, uint32_t heap)
{
	return g->heap[heap].lot;
}

static inline uint32_t flow_log_place(const struct flow_log *g, uint32_t heap)
{
	return g->sorts.kind[g->heap[heap].sort].place;
}

static inline int32_t flow_log_form(const struct flow_log *g, uint32_t heap)
{
	return g->sorts.kind[g->heap[heap].sort].form;
}

/* The pieces of a flow, and how many the heap `to` had then. */
static inline int64_t log_flow_n(const struct log_flow *f)
{
	return (int64_t)f->n_high << 32 | f->n_low;
}

static inline int64_t log_flow_after(const struct log_flow *f)
{
	return (int64_t)f->after_high << 32 | f->after_low;
}

/* How many pieces a heap has now. */
static inline int64_t flow_log_held(const struct flow_log *g, uint32_t heap)
{
	return g->heap[heap].held;
}

static inline const struct log_op *flow_log_op(const struct flow_log *g, const struct log_flow *f)
{
	return &g->op[f->op];
}

/* The flows that go to a lot, in their order; `n` is how many. */
const uint32_t *flow_log_to(const struct flow_log *g, uint32_t lot, size_t *n);

#endif
