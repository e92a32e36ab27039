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

#include "stock/provenance.h"

struct charge_pieces;
struct stock_flow;

struct last_charge {
	struct intern ids;            /* of kinds of pieces, as bytes */
	struct charge_pieces *pieces; /* by id - 1 */
	size_t cap;
};

void last_charge_init(struct last_charge *c);
void last_charge_release(struct last_charge *c);

/* The last charge of a flow's pieces, before last_charge_follow(): an id, 0 for none, or PROVENANCE_MIXED. */
uint32_t last_charge_of(struct last_charge *c, const struct stock_flow *f);

/* To be called for every flow in turn. */
void last_charge_follow(struct last_charge *c, const struct stock_flow *f);

#endif
