#include "stock/layers.h"

#include <stdlib.h>

#include "math/stats.h"

/*
 * A binary heap, the first on top: of layers by their turn, or of roots that have pieces, the one with
 * the most first.
 */
struct layer_heap {
	union {
		uint32_t *order;
		uint32_t one;      /* without a cap: the only one, as in most */
	};
	uint32_t n, cap;
	int64_t pieces;
	uint32_t lot, tree, charge; /* of the first pieces since it was empty */
	uint8_t several;           /* it has had pieces of others since then, too: LAYER_SHARED_... */
	bool opened;               /* some were taken of such, so that nobody knows which are left */
};

#define NOWHERE UINT32_MAX

struct layer_root {
	uint32_t lot, tree;
	int64_t n;
	uint32_t first, last;      /* its layers, in their turn: index + 1 */
	uint32_t at;               /* its index in its heap's order, or NOWHERE */
};

/* What a root gives. */
struct layer_gift {
	struct slice lot, tree;    /* to sort by: their names */
	uint32_t root;
	int64_t n;
};

void layers_init(struct layers *h, const struct stock *stock, bool apportion)
{
	memset(h, 0, sizeof *h);
	h->stock = stock;
	h->apportion = apportion;
	kind_ids_init(&h->ids);
	intern_init(&h->root_ids);
}

void layers_release(struct layers *h)
{
	for (size_t i = 0; i < h->nheaps; i++)
		if (h->heap[i].cap)
			free(h->heap[i].order);
	kind_ids_release(&h->ids);
	intern_release(&h->root_ids);
	free(h->heap);
	free(h->layer);
	free(h->root);
	free(h->gift);
	free(h->weight);
	memset(h, 0, sizeof *h);
}

/* ---- what comes first */

static int by_id(const struct layers *h, uint32_t a, uint32_t b)
{
	return a == b ? 0 : slice_cmp(stock_text(h->stock, a), stock_text(h->stock, b));
}

static int by_turn(const struct layers *h, const struct layer *a, const struct layer *b)
{
	int order = (a->since > b->since) - (a->since < b->since);

	order = order ? order : by_id(h, a->lot, b->lot);
	order = order ? order : by_id(h, a->tree, b->tree);
	order = order ? order : by_id(h, a->charge, b->charge);
	return order ? order : (a->shared > b->shared) - (a->shared < b->shared);
}

static int by_size(const struct layers *h, const struct layer_root *a, const struct layer_root *b)
{
	int order = (a->n < b->n) - (a->n > b->n);

	order = order ? order : by_id(h, a->lot, b->lot);
	return order ? order : by_id(h, a->tree, b->tree);
}

static bool is_before(const struct layers *h, uint32_t a, uint32_t b)
{
	return h->apportion ? by_size(h, &h->root[a], &h->root[b]) < 0 : by_turn(h, &h->layer[a], &h->layer[b]) < 0;
}

/* ---- the binary heap */

static inline uint32_t *order_of(struct layer_heap *heap)
{
	return heap->cap ? heap->order : &heap->one;
}

static void stand(struct layers *h, struct layer_heap *heap, size_t at, uint32_t what)
{
	order_of(heap)[at] = what;
	if (h->apportion)
		h->root[what].at = (uint32_t)at;
}

static void rise(struct layers *h, struct layer_heap *heap, size_t at)
{
	const uint32_t *order = order_of(heap);
	uint32_t what = order[at];

	for (; at && is_before(h, what, order[(at - 1) / 2]); at = (at - 1) / 2)
		stand(h, heap, at, order[(at - 1) / 2]);
	stand(h, heap, at, what);
}

/* Room for one more. */
static void widen(struct layer_heap *heap)
{
	size_t cap = heap->cap;
	uint32_t one = heap->one, *order = cap ? heap->order : NULL;

	if (!heap->n || heap->n < cap)
		return;
	order = mem_grow(order, &cap, heap->n + 1u, sizeof *order);
	if (!heap->cap)
		order[0] = one;
	heap->order = order;
	heap->cap = (uint32_t)cap;
}

static void push(struct layers *h, struct layer_heap *heap, uint32_t what)
{
	widen(heap);
	order_of(heap)[heap->n] = what;
	rise(h, heap, heap->n++);
}

/* Most heaps are empty for good once they are. */
static void let_go(struct layer_heap *heap)
{
	if (heap->cap)
		free(heap->order);
	heap->cap = 0;
}

static uint32_t pop(struct layers *h, struct layer_heap *heap)
{
	const uint32_t *order = order_of(heap);
	uint32_t top = order[0], what = order[--heap->n];
	size_t at = 0;

	if (h->apportion)
		h->root[top].at = NOWHERE;
	for (size_t next; (next = 2 * at + 1) < heap->n; at = next) {
		next += next + 1 < heap->n && is_before(h, order[next + 1], order[next]);
		if (!is_before(h, order[next], what))
			break;
		stand(h, heap, at, order[next]);
	}
	if (heap->n)
		stand(h, heap, at, what);
	else
		let_go(heap);
	return top;
}

/* ---- putting */

static struct slice bytes_of(const void *p, size_t n)
{
	return (struct slice){ p, n };
}

static uint32_t heap_of(struct layers *h, const struct stock_kind *kind)
{
	uint32_t id = kind_ids_id(&h->ids, kind);

	h->heap = mem_grow(h->heap, &h->cap, id + 1u, sizeof *h->heap);
	while (h->nheaps <= id)
		h->heap[h->nheaps++] = (struct layer_heap){ .n = 0 };
	return id;
}

static uint32_t root_of(struct layers *h, uint32_t heap, const struct layer *layer)
{
	const uint32_t key[] = { heap, layer->lot, layer->tree };
	uint32_t had = h->root_ids.n, id = intern_id(&h->root_ids, bytes_of(key, sizeof key));

	h->root = mem_grow(h->root, &h->roots_cap, id + 1u, sizeof *h->root);
	if (h->root_ids.n > had)
		h->root[id] = (struct layer_root){ .lot = layer->lot, .tree = layer->tree, .at = NOWHERE };
	return id;
}

static uint32_t layer_new(struct layers *h, const struct layer *from)
{
	uint32_t at = h->spare;

	if (at)
		h->spare = h->layer[at - 1].next;
	else {
		h->layer = mem_grow(h->layer, &h->layers_cap, h->nlayers + 1, sizeof *h->layer);
		at = (uint32_t)++h->nlayers;
	}
	h->layer[at - 1] = *from;
	h->layer[at - 1].next = 0;
	return at;
}

static void layer_free(struct layers *h, uint32_t at)
{
	h->layer[at - 1].next = h->spare;
	h->spare = at;
}

/* Among the layers of its root, which mostly come in their turn. */
static void root_put(struct layers *h, struct layer_root *root, const struct layer *layer)
{
	uint32_t last = 0, at = root->first, made;

	if (root->last && by_turn(h, &h->layer[root->last - 1], layer) <= 0)
		at = last = root->last;
	for (; at && by_turn(h, &h->layer[at - 1], layer) < 0; at = h->layer[at - 1].next)
		last = at;
	root->n += layer->n;
	if (at && by_turn(h, &h->layer[at - 1], layer) == 0) {
		h->layer[at - 1].n += layer->n;
		return;
	}
	made = layer_new(h, layer);
	h->layer[made - 1].next = at;
	*(last ? &h->layer[last - 1].next : &root->first) = made;
	if (!at)
		root->last = made;
}

/* Keeps in mind whether the heap has pieces of several origins. */
static void note_origin(struct layer_heap *heap, const struct layer *layer)
{
	if (!heap->pieces) {
		heap->lot = layer->lot;
		heap->tree = layer->tree;
		heap->charge = layer->charge;
		heap->several = 0;
		heap->opened = false;
	}
	if (layer->lot != heap->lot || layer->tree != heap->tree)
		heap->several |= LAYER_SHARED_ROOT;
	if (layer->charge != heap->charge)
		heap->several |= LAYER_SHARED_CHARGE;
}

void layers_put(struct layers *h, const struct stock_kind *kind, const struct layer *layer)
{
	uint32_t id = heap_of(h, kind), root;
	struct layer_heap *heap = &h->heap[id];

	note_origin(heap, layer);
	heap->pieces += layer->n;
	if (!h->apportion) {
		push(h, heap, layer_new(h, layer) - 1);
		return;
	}
	root = root_of(h, id, layer);
	root_put(h, &h->root[root], layer);
	if (h->root[root].at == NOWHERE)
		push(h, heap, root);
	else
		rise(h, heap, h->root[root].at);
}

/* ---- taking */

void layer_hand_add(struct layer_hand *hand, const struct layer *layer, int64_t n)
{
	hand->layer = mem_grow(hand->layer, &hand->cap, hand->n + 1, sizeof *hand->layer);
	hand->layer[hand->n] = *layer;
	hand->layer[hand->n++].n = n;
}

/* The first layer, with those that are like it. */
static uint32_t pop_layer(struct layers *h, struct layer_heap *heap)
{
	uint32_t top = pop(h, heap);

	while (heap->n && by_turn(h, &h->layer[order_of(heap)[0]], &h->layer[top]) == 0) {
		uint32_t like = pop(h, heap);

		h->layer[top].n += h->layer[like].n;
		layer_free(h, like + 1);
	}
	return top;
}

static void take_first(struct layers *h, struct layer_heap *heap, int64_t left, struct layer_hand *hand)
{
	while (left > 0) {
		uint32_t top = pop_layer(h, heap);
		struct layer *layer = &h->layer[top];
		int64_t n = layer->n < left ? layer->n : left;

		layer_hand_add(hand, layer, n);
		left -= n;
		layer->n -= n;
		if (layer->n)
			push(h, heap, top);
		else
			layer_free(h, top + 1);
	}
}

static void take_of_root(struct layers *h, struct layer_root *root, int64_t left, struct layer_hand *hand)
{
	root->n -= left;
	while (left > 0) {
		uint32_t first = root->first;
		struct layer *layer = &h->layer[first - 1];
		int64_t n = layer->n < left ? layer->n : left;

		layer_hand_add(hand, layer, n);
		left -= n;
		layer->n -= n;
		if (layer->n)
			continue;
		root->first = layer->next;
		if (!root->first)
			root->last = 0;
		layer_free(h, first);
	}
}

/*
 * Takes those roots out of the order that can get something of `n`: the ones whose quota is one or
 * more, and as many of the others, the largest first, as there are pieces left over. Returns how many.
 */
static size_t pop_givers(struct layers *h, struct layer_heap *heap, int64_t n)
{
	int64_t over = n;
	size_t k = 0;

	while (heap->n && over > 0) {
		const struct layer_root *root = &h->root[order_of(heap)[0]];
		int64_t whole = (int64_t)((int128)n * root->n / heap->pieces);

		over -= whole ? whole : 1;
		h->gift = mem_grow(h->gift, &h->gifts_cap, k + 1, sizeof *h->gift);
		h->gift[k++] = (struct layer_gift){ stock_text(h->stock, root->lot), stock_text(h->stock, root->tree), pop(h, heap), 0 };
	}
	return k;
}

static int by_root(const void *a, const void *b)
{
	const struct layer_gift *x = a, *y = b;
	int order = slice_cmp(x->lot, y->lot);

	return order ? order : slice_cmp(x->tree, y->tree);
}

/* The roots are in the order of their sizes and names, which decides between two with the same claim. */
static void share_out(struct layers *h, int64_t n, int64_t all, size_t k)
{
	h->weight = mem_grow(h->weight, &h->weights_cap, 2 * k, sizeof *h->weight);
	for (size_t i = 0; i < k; i++)
		h->weight[i] = h->root[h->gift[i].root].n;
	apportion_some(n, all, h->weight, k, h->weight + k);
	for (size_t i = 0; i < k; i++)
		h->gift[i].n = h->weight[k + i];
}

static void take_shares(struct layers *h, struct layer_heap *heap, int64_t n, struct layer_hand *hand)
{
	size_t k = pop_givers(h, heap, n);

	if (!k)
		return;
	share_out(h, n, heap->pieces, k);
	qsort(h->gift, k, sizeof *h->gift, by_root);
	for (size_t i = 0; i < k; i++) {
		struct layer_root *root = &h->root[h->gift[i].root];

		take_of_root(h, root, h->gift[i].n, hand);
		if (root->n)
			push(h, heap, h->gift[i].root);
	}
}

/* The pieces of a kind, or NULL: none. A kind is asked about several times in a row. */
static struct layer_heap *heap_now(struct layers *h, const struct stock_kind *kind)
{
	if (!h->now || !kind_same(&h->ids.kind[h->now], kind))
		h->now = kind_ids_find(&h->ids, kind);
	return h->now ? &h->heap[h->now] : NULL;
}

/* Most kinds never have pieces again. With `apportion` the roots know a heap by its number, so it keeps that. */
static void forget_empty(struct layers *h, const struct layer_heap *heap)
{
	if (!heap->pieces && !h->apportion)
		kind_ids_forget(&h->ids, (uint32_t)(heap - h->heap));
}

int64_t layers_count(struct layers *h, const struct stock_kind *kind)
{
	const struct layer_heap *heap = heap_now(h, kind);

	return heap ? heap->pieces : 0;
}

unsigned layers_unknown(struct layers *h, const struct stock_kind *kind, int64_t n)
{
	const struct layer_heap *heap = heap_now(h, kind);

	return heap && heap->pieces && (heap->opened || n < heap->pieces) ? heap->several : 0;
}

int64_t layers_take(struct layers *h, const struct stock_kind *kind, int64_t n, struct layer_hand *hand)
{
	struct layer_heap *heap = heap_now(h, kind);
	int64_t some = heap && heap->pieces < n ? heap->pieces : n;

	if (!heap)
		return n;
	if (h->apportion)
		take_shares(h, heap, some, hand);
	else
		take_first(h, heap, some, hand);
	heap->opened |= heap->several && some < heap->pieces;
	heap->pieces -= some;
	forget_empty(h, heap);
	return n - some;
}

/* ---- all of them */

void layers_each(const struct layers *h, layers_sink *sink, void *context)
{
	for (uint32_t i = 1; i < h->ids.n; i++) {
		struct layer_heap *heap = &h->heap[i];
		const struct stock_kind *kind = &h->ids.kind[i];
		const uint32_t *order = order_of(heap);

		for (size_t k = 0; k < heap->n; k++) {
			if (!h->apportion)
				sink(context, kind, &h->layer[order[k]]);
			for (uint32_t at = h->apportion ? h->root[order[k]].first : 0; at; at = h->layer[at - 1].next)
				sink(context, kind, &h->layer[at - 1]);
		}
	}
}
