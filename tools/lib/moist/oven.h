/*
 * oven.h - which items of an oven test belong to one piece.
 *
 * An oven line has readings, wet masses and dry masses, each a list. Those of one piece have its label; where
 * there are no labels they are in the same place of their lists.
 */
#ifndef WITHY_OVEN_H
#define WITHY_OVEN_H

#include <stddef.h>

#include "base/text.h"

struct item;
struct line;

/* The item of `field` that belongs to the i-th of another field, which has that label; NULL for none. */
const struct item *oven_beside(const struct line *l, int field, size_t i, struct slice label);

#endif
