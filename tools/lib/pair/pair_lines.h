/*
 * pair_lines.h - the pairs as lines for the book: what goes to the shop, then a `make` for each bat.
 *
 * Pieces that are not in the shop get an `issue` or a `move` line. All lines have one day and one name of who does it. The
 * first bat has the number after the highest of those that are named like the last one made, unless another is asked for.
 */
#ifndef WITHY_PAIR_LINES_H
#define WITHY_PAIR_LINES_H

#include <stdbool.h>

#include "base/text.h"

struct pairing;

struct pair_lines_ask {
	struct slice by;           /* who does it */
	struct slice shop;         /* where; empty: the house's first shop */
	struct slice first;        /* the first bat's id; empty: the next */
};

/* Adds the lines. False when the shop or the first id is not known, or an id ends in no number; then `why` says what to write. */
bool pair_lines_write(const struct pairing *p, const struct pair_lines_ask *ask, struct buf *out, struct buf *why);

#endif
