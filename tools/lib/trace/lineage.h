/*
 * lineage.h - the way of some pieces back to where they came from, with the share of each branch.
 *
 * Pieces that are alike and at one place cannot be distinguished. So any one of a heap is as likely as any
 * other to be the piece that is asked about: of a heap of 50 to which 30 came from one place and 20 from
 * another, a piece came from the first with a chance of 60 %. For several pieces these are the shares to be
 * expected of them. A step is a flow with the chance that the piece went that way; the chances of what
 * came into the book (STOCK_BORN, STOCK_FOUND) add up to 1, unless the book does not add up.
 *
 * In the wood's way a bat goes back to its blade, in the handle's way to its handle, the last one put in.
 */
#ifndef WITHY_LINEAGE_H
#define WITHY_LINEAGE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct flow_log;

enum lineage_of {
	LINEAGE_BAT,       /* the bat `id` as it is now: its wood */
	LINEAGE_HANDLE,    /* its handle */
	LINEAGE_LOT,       /* all pieces that ever came into the lot `id` */
	LINEAGE_CHARGE,    /* all pieces that were loaded into the charge `id` */
	LINEAGE_TREE,      /* all clefts of the tree `id` */
	LINEAGE_PIECES     /* those of the lot `id` that are there now, without what was sold or culled */
};

struct lineage_step {
	uint32_t flow;     /* of the log */
	double share;      /* within a lot or a charge it can be above 1: pieces may be moved to and fro */
};

/*
 * One that is asked many times takes a time that goes with the flows on the way of a bat or of the pieces of today, and with
 * those of the lots it meets for the others, not with the book.
 */
struct lineage {
	const struct flow_log *log;
	struct lineage_step *step; /* the latest first */
	size_t n, cap;
	int64_t pieces;    /* how many the shares are of; 0: nothing is known of the id as this */

	enum lineage_of of;
	uint32_t id;
	double *mass;      /* by heap: the chance that the piece was there */
	uint8_t *seen;     /* by lot: its flows are in `flow`; not for what is there today */
	uint32_t *lot;     /* those */
	size_t nlots, lots_cap;
	uint32_t *flow;    /* that can matter */
	size_t nflows, flows_cap;
	uint32_t *next;    /* flows to be looked at: index + 1 */
	size_t nnext, nexts_cap;
};

/* After flow_log_end(). */
void lineage_init(struct lineage *l, const struct flow_log *log);
void lineage_release(struct lineage *l);

/* Forgets the steps: nothing is the subject. */
void lineage_clear(struct lineage *l);

/* Finds the steps, in place of those found before. */
void lineage_find(struct lineage *l, enum lineage_of of, uint32_t id);

#endif
