/*
 * last_charge.h - the charge that pieces were in last, by the flows of the stock.
 *
 * Pieces that are alike and in one place cannot be kept apart. Where some came from one charge and
 * some from another, or from none, the charge of all of them is PROVENANCE_MIXED until the place is
 * empty of them.
 */
#ifndef WITHY_LAST_CHARGE_H
#define WITHY_LAST_CHARGE_H

#include <stddef.h>
#include <stdint.h>

#include "stock/kind_ids.h"
#include "stock/provenance.h"

struct charge_pieces;
struct stock_flow;
struct stock_kind;

struct last_charge {
	struct kind_ids ids;          /* of kinds of pieces */
	struct charge_pieces *pieces; /* by id - 1 */
	size_t cap;
};

void last_charge_init(struct last_charge *c);
void last_charge_release(struct last_charge *c);

/* The last charge of a flow's pieces, before last_charge_follow(): an id, 0 for none, or PROVENANCE_MIXED. */
uint32_t last_charge_of(struct last_charge *c, const struct stock_flow *f);

/* To be called for every flow in turn. */
void last_charge_follow(struct last_charge *c, const struct stock_flow *f);

/*
 * The same for another mark than the charge, such as who graded them; one table follows one sort of mark. The mark
 * of a flow's pieces before it; what leaves their place; and what comes to a place with its mark. The flows of one line happen
 * at once: the caller hands in what leaves by all of them before what comes.
 */
uint32_t last_mark_of(struct last_charge *c, const struct stock_flow *f);
void last_mark_take(struct last_charge *c, const struct stock_flow *f);
void last_mark_give(struct last_charge *c, const struct stock_kind *to, int64_t n, uint32_t mark);

#endif
