/*
 * concerned.h - which lots a question about one thing can concern, found from the lines before the stock is run.
 *
 * The thing is a lot, a bat, a piece, a charge or a tree. Concerned are the lots that its pieces can be from, those that shared
 * a charge or a tree with one of these, and all that was pooled or made of any of them. They may be some too many, never too few:
 * flows from and to these lots are enough for lineage.h and kin.h.
 */
#ifndef WITHY_CONCERNED_H
#define WITHY_CONCERNED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct stock;

enum { CONCERNED_LOT = 1, CONCERNED_BACK = 2, CONCERNED_CHARGE = 4, CONCERNED_TREE = 8 };

struct concerned {
	uint8_t *is;               /* by id of the stock: bits; NULL: nothing was asked, and all lots are concerned */
	size_t n;
	struct lot_join *join;     /* lots of which others were pooled or made */
	size_t njoins, joins_cap;
	struct lot_line *line;     /* what lines say of trees and charges */
	size_t nlines, lines_cap;
};

/* `charge`: the thing may be a charge. When all lines are in the stock. */
void concerned_find(struct concerned *c, const struct stock *s, struct slice thing, bool charge);
void concerned_release(struct concerned *c);

static inline bool concerned_is(const struct concerned *c, uint32_t lot)
{
	return !c->is || (lot < c->n && c->is[lot] & CONCERNED_LOT);
}

#endif
