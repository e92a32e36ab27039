/*
 * stages.h - the way of the pieces from tree to customer, step by step, out of the flows of stock.h.
 *
 * A piece is in one step at every moment, which follows from what it is and where:
 *
 *	WAY_CLEAVE, WAY_BUY   coming in; a moment
 *	WAY_YARD              a cleft before its kiln
 *	WAY_KILN              in a charge
 *	WAY_PLANE             a cleft that has been in a charge, or lies at a bench
 *	WAY_GRADE             a blade that has no grade yet
 *	WAY_STORE             a graded blade; a handle
 *	WAY_SHOP              a blade or a handle at the shop
 *	WAY_BAT               a bat until it is sold
 *	WAY_GONE              sold
 *
 * A place is a charge when a `load` says so, a bench or a shop when the house file does; one that
 * the house does not know is a shop when pieces are issued into it. A step may be passed over.
 *
 * What is counted, in `cells`: by step, and by who the pieces are: the lot that they came in or
 * were pooled as (of a bat its blade's), their charge, their type now. For each cell
 *
 *	start + in + found + crossed + back = out + culled + still
 *
 * where `still` is counted by looking at the pieces, and the others as they move.
 *
 * Pieces of one sort in one heap cannot be told apart; a line is taken to take those that came into
 * the step first, and what becomes of what it takes (graded 1, graded 2, culled) to be shared over
 * them by how many they are. With `apportion` a pool's pieces keep the lot and the tree that
 * they are from, and what leaves a heap is shared over these by what each has in it (largest
 * remainder, stats.h), so the equation holds for each of them, in whole pieces.
 *
 * Needs text.h, vocab_words.h, vocab.h, value.h, stamp.h, diag.h, parse.h, intern.h, house.h,
 * stock.h and layers.h before it.
 */
#ifndef WITHY_STAGES_H
#define WITHY_STAGES_H

enum way_step {
	WAY_CLEAVE, WAY_BUY, WAY_YARD, WAY_KILN, WAY_PLANE, WAY_GRADE, WAY_STORE, WAY_SHOP, WAY_BAT, WAY_GONE
};

extern const char *const way_step_words[]; /* without WAY_GONE */

enum way_count {
	WAY_START,     /* were in the step when the counting began */
	WAY_IN,        /* came into the book here, or from an earlier step */
	WAY_FOUND,     /* turned up here in a tally */
	WAY_CROSSED,   /* became these within the step, less those that became others */
	WAY_BACK,      /* came back from a later step, less those that went back to an earlier one */
	WAY_OUT,       /* went on to a later step, or were sold */
	WAY_CULLED,
	WAY_STILL,     /* are in the step at the end */
	WAY_WAITED,    /* of the culled: not on a line that takes pieces out of the step */
	WAY_SOLD,      /* of those out */
	WAY_RETURNED,  /* of those back: from a customer */
	WAY_JOINED,    /* like WAY_CROSSED, those that changed as they changed the step among them */
	WAY_COUNTS
};

/* Who pieces are. All ids; tree only with `apportion`, charge 0 before the first kiln. */
struct way_who {
	uint32_t lot, tree, charge, type;
};

struct way_cell {
	struct way_who who;
	uint32_t step;
	int64_t n[WAY_COUNTS];
};

struct way_loss {
	uint32_t cell, cause;
	int64_t n;
};

/* How long pieces were in a step that they went on from. */
struct way_stay {
	uint32_t cell;
	int32_t days;
	int64_t n;
};

struct way {
	const struct stock *stock;
	bool handles;              /* the handles' way instead of the wood's */
	int32_t from;              /* the first day that is counted; INT32_MIN: all */
	struct way_cell *cell;
	size_t ncells, cells_cap;
	struct way_loss *loss;
	size_t nlosses, losses_cap;
	struct way_stay *stay;
	size_t nstays, stays_cap;

	struct intern cell_ids;    /* of who and step, as bytes */
	struct way_heaps heaps;    /* `apportion` there is the caller's to set, before any flow */
	struct way_hand hand;      /* what a line takes of a sort */
	struct way_layer *part;    /* and what one flow does of that */
	size_t parts_cap;
	const struct stock_op *hand_op;
	struct stock_kind hand_kind;
	int64_t hand_left;
	int64_t *weight;
	size_t weights_cap;
	uint8_t *place;            /* what kind each place is, by id */
	size_t nplaces;
	bool counting;
};

/* After all lines were handed to `s` and before stock_run(); `house` may be NULL. */
void way_init(struct way *w, const struct stock *s, const struct house *house);
void way_release(struct way *w);

/* The stock_sink; its context is the `struct way`. */
void way_flow(void *context, const struct stock_flow *flow);

/* After stock_run(): counts who is where. */
void way_end(struct way *w);

/* ---- shares, out of the counts of a cell or of a sum of cells */

/* A share that is as good as one of `n` cases, whole or not (wilson_share() gives the interval). */
struct way_share {
	bool known;
	double p, n;
};

/* All that ever stood in the step. */
int64_t way_entered(const int64_t *n);

/*
 * The share of those in a step that go on from it. Once nothing is there any more that is out /
 * entered. Before, it is the share of those entered that was not lost while waiting, times the
 * share that went on of those on the lines that take pieces out of the step; as good as one of as
 * many cases as went on or were lost. Not known before the first piece has come to such a line.
 */
struct way_share way_yield(const int64_t *n);

/*
 * The product of yields, one step after another. Its variance is Greenwood's (1926),
 * p^2 * sum of (1 - p_i) / (n_i p_i), so it is as good as a share of (1 - p) / (p * sum) cases
 * (Rothman 1978; both from memory): for a closed lot that is as many as came in.
 */
struct way_through {
	bool known;
	double p, sum, least_n;
};

extern const struct way_through way_through_none; /* before the first step */

void way_through_add(struct way_through *t, struct way_share step);
struct way_share way_through(const struct way_through *t);

#endif
