/*
 * layers.h - who the pieces of each bucket are: layers of pieces that are alike, of which a line
 * takes some.
 *
 * A layer's pieces are of one root (the lot that they came in as, and its tree), dried in one charge,
 * and in their step since one day. Those that came first go first; or, with `apportion`, every root
 * gives its share of what is taken, by the largest remainder (stats.h), and of each root those that
 * came first. Either takes a time that goes with how many pieces or roots are taken, not with how
 * many there are.
 */
#ifndef WITHY_LAYERS_H
#define WITHY_LAYERS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/kind_ids.h"

struct stock;
struct stock_kind;
struct layer_gift;
struct layer_heap;
struct layer_root;

/*
 * What pieces that were taken out of a heap of several lots or trees, or of several charges, are only taken to
 * be: nobody knows which of them they were.
 */
enum { LAYER_SHARED_ROOT = 1, LAYER_SHARED_CHARGE = 2 };

/* Some pieces of a heap that are alike. All but since are ids; tree only with `apportion`. */
struct layer {
	uint32_t lot, tree, charge;
	uint32_t shared;           /* which of these is a share and not known: LAYER_SHARED_... */
	int32_t since;             /* the day on which they came into the step */
	int64_t n;
	uint32_t next;             /* the next of its root: index + 1 */
	uint32_t mark;             /* the caller's, the same for layers of one kind that are alike but for since */
};

/* What was taken, until it is emptied. */
struct layer_hand {
	struct layer *layer;
	size_t n, cap;
};

struct layers {
	const struct stock *stock;
	bool apportion;
	struct kind_ids ids;
	uint32_t now;              /* the id that was asked for last, or 0 */
	struct layer_heap *heap;   /* by id */
	size_t nheaps, cap;
	struct layer *layer;
	size_t nlayers, layers_cap;
	uint32_t spare;            /* layers to be used again: index + 1 */
	struct intern root_ids;    /* of heap, lot and tree, as bytes */
	struct layer_root *root;   /* by id */
	size_t roots_cap;
	struct layer_gift *gift;   /* while some are taken by shares */
	size_t gifts_cap;
	int64_t *weight;
	size_t weights_cap;
};

void layers_init(struct layers *h, const struct stock *stock, bool apportion);
void layers_release(struct layers *h);

/* Puts a layer, whose `next` does not matter, among the pieces of that kind. */
void layers_put(struct layers *h, const struct stock_kind *kind, const struct layer *layer);

/* How many pieces of that kind there are. */
int64_t layers_count(struct layers *h, const struct stock_kind *kind);

/*
 * What is not known of `n` of these pieces, about to be taken (LAYER_SHARED_...): all of them together are known, unless
 * some have been taken before.
 */
unsigned layers_unknown(struct layers *h, const struct stock_kind *kind, int64_t n);

/* Takes up to `n` pieces into the hand, which is not emptied before; returns how many are lacking. */
int64_t layers_take(struct layers *h, const struct stock_kind *kind, int64_t n, struct layer_hand *hand);

void layer_hand_add(struct layer_hand *hand, const struct layer *layer, int64_t n);

typedef void layers_sink(void *context, const struct stock_kind *kind, const struct layer *layer);

/* Reports every layer. The order has no meaning, and equal layers may be reported apart. */
void layers_each(const struct layers *h, layers_sink *sink, void *context);

#endif
