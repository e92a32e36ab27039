/*
 * stages.h - the way of the pieces from tree to customer, step by step, out of the flows of stock.h.
 *
 * A piece is in one step at every moment, which follows from what it is and where:
 *
 *	STAGE_CLEAVE, STAGE_BUY   coming in; a moment
 *	STAGE_YARD              a cleft before its kiln
 *	STAGE_KILN              in a charge
 *	STAGE_PLANE             a cleft that has been in a charge, or lies at a bench
 *	STAGE_GRADE             a blade that has no grade yet
 *	STAGE_STORE             a graded blade; a handle
 *	STAGE_SHOP              a blade or a handle at the shop
 *	STAGE_BAT               a bat until it is sold
 *	STAGE_GONE              sold
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
 * Pieces of one sort in one heap cannot be distinguished. A line is assumed to take those that came
 * into the step first. The results of the line (graded 1, graded 2, culled) are assumed to be shared
 * over these pieces by how many they are. With `apportion` a pool's pieces keep the lot and the tree that
 * they are from, and what leaves a heap is shared over these by what each has in it (largest
 * remainder, stats.h), so the equation holds for each of them, in whole pieces. Pieces whose tree, lot or charge is
 * such a share are in cells of their own, from the line on that divided them (`shared`, layers.h). Lots and
 * charges that kept their identity are exact.
 */
#ifndef WITHY_STAGES_H
#define WITHY_STAGES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/layers.h"

struct house;

enum stage_step {
	STAGE_CLEAVE, STAGE_BUY, STAGE_YARD, STAGE_KILN, STAGE_PLANE, STAGE_GRADE, STAGE_STORE, STAGE_SHOP, STAGE_BAT, STAGE_GONE
};

extern const char *const stages_step_words[]; /* without STAGE_GONE */

enum stage_count {
	STAGE_START,     /* were in the step when the counting began */
	STAGE_IN,        /* came into the book here, or from an earlier step */
	STAGE_FOUND,     /* turned up here in a tally */
	STAGE_CROSSED,   /* became these within the step, less those that became others */
	STAGE_BACK,      /* came back from a later step, less those that went back to an earlier one */
	STAGE_OUT,       /* went on to a later step, or were sold */
	STAGE_CULLED,
	STAGE_STILL,     /* are in the step at the end */
	STAGE_WAITED,    /* of the culled: not on a line that takes pieces out of the step */
	STAGE_SOLD,      /* of those out */
	STAGE_RETURNED,  /* of those back: from a customer */
	STAGE_JOINED,    /* like STAGE_CROSSED, those that changed as they changed the step among them */
	STAGE_COUNTS
};

/* Who pieces are. All ids but `shared` (LAYER_SHARED_...); tree only with `apportion`, charge 0 before the first kiln. */
struct stage_who {
	uint32_t lot, tree, charge, type, shared;
};

struct stage_cell {
	struct stage_who who;
	uint32_t step;
	int64_t n[STAGE_COUNTS];
};

struct stage_loss {
	uint32_t cell, cause;
	int64_t n;
};

/* How a stay in a step came to its end; STAGE_END_WAITED: culled, but not on a line that takes pieces out of the step. */
enum stage_end { STAGE_END_OUT, STAGE_END_CULLED, STAGE_END_WAITED, STAGE_END_BACK, STAGE_END_STILL };

/*
 * Pieces that came into a step on one day and left it on one, or are still there (STAGE_END_STILL; the days are those up
 * to `today`). It is a stay of the cell that they were last in.
 */
struct stage_stay {
	uint32_t cell;
	int32_t since;             /* the day on which they came in */
	int32_t days;
	enum stage_end end;
	int64_t n;
};

/* Pieces that the flow that came last lost: part of a loss, by index. */
struct stage_lost {
	size_t loss;
	bool waited;               /* as STAGE_WAITED */
	int64_t n;
};

struct stages {
	const struct stock *stock;
	bool handles;              /* the handles' way instead of the wood's */
	int32_t from;              /* the first day that is counted; INT32_MIN: all */
	int32_t today;             /* the last day, which stays last to that are not over */
	bool by_lot, by_charge, by_type; /* whether the cells keep lots and trees, charges and types apart; true */
	enum stage_step until;     /* STAGE_GONE; the last step that is asked for, STAGE_PLANE or later: pieces are not followed beyond it, nor counted there */
	bool stays_kept;           /* whether there are stays; true */
	bool stays_apart;          /* whether the stays are of cells; true. Else all of a step are of the first of its cells that had one */
	struct stage_cell *cell;
	size_t ncells, cells_cap;
	struct stage_loss *loss;
	size_t nlosses, losses_cap;
	struct hash_index losses;  /* by cell and cause */
	struct stage_stay *stay;
	size_t nstays, stays_cap;
	struct hash_index stays;   /* by all but the number */
	struct stage_lost *lost;   /* of the last flow; none before the first day that is counted */
	size_t nlost, lost_cap;

	struct hash_index cells;   /* by who and step */
	uint32_t stay_cell[STAGE_GONE + 1]; /* by step: the cell of all its stays, + 1 */
	struct layers heaps;    /* `apportion` there is the caller's to set, before any flow */
	struct layer_hand hand;      /* what a line takes of a sort */
	struct layer *part;    /* and what one flow does of that */
	size_t parts_cap;
	size_t hand_line;          /* where it is in the log of the stock, + 1 */
	struct stock_kind hand_kind;
	int64_t hand_left;
	int64_t hand_all;          /* how many pieces of the sort there were */
	unsigned hand_unknown[2];  /* what is not known of the pieces, of all that are taken and of fewer */
	int64_t *weight;
	size_t weights_cap;
	uint8_t *place;            /* what kind each place is, by id */
	bool *returns;             /* by id: whether pieces of the lot come back from who bought them */
	size_t nplaces;
	bool counting;
};

/* The fields up to stays_apart are the caller's to set after it. After all lines were handed to `s` and before stock_run(); `house` may be NULL. */
void stages_init(struct stages *w, const struct stock *s, const struct house *house);
void stages_release(struct stages *w);

/* The stock_sink; its context is the `struct stages`. */
void stages_flow(void *context, const struct stock_flow *flow);

/* After stock_run(): counts who is where. */
void stages_end(struct stages *w);

/* The step that such pieces are in; `dried`: they have been in a charge. Only stages_init() must have been called. */
enum stage_step stages_step_of(const struct stages *w, const struct stock_kind *kind, bool dried);

/* ---- shares, out of the counts of a cell or of a sum of cells */

/* A share that is as good as one of `n` cases, whole or not (wilson_share() gives the interval). */
struct stage_share {
	bool known;
	double p, n;
};

/* How many pieces were in the step, without those that became others' or went back: out, culled and still. */
int64_t stages_entered(const int64_t *n);

/*
 * The share of those in a step that go on from it. Once nothing is there any more that is out /
 * (out + culled). Before, it is the share of those entered that was not lost while waiting, times the
 * share that went on of those on the lines that take pieces out of the step; as good as one of as
 * many cases as went on or were lost. Not known before the first piece has come to such a line.
 */
struct stage_share stages_yield(const int64_t *n);

/*
 * The product of yields, one step after another. Its variance is Greenwood's (1926),
 * p^2 * sum of (1 - p_i) / (n_i p_i), so it is as good as a share of (1 - p) / (p * sum) cases
 * (Rothman 1978; both from memory): for a closed lot that is as many as came in.
 */
struct stages_through {
	bool known;
	double p, sum, least_n;
};

extern const struct stages_through stages_through_none; /* before the first step */

void stages_through_add(struct stages_through *t, struct stage_share step);
struct stage_share stages_through(const struct stages_through *t);

#endif
