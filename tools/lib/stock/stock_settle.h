/*
 * stock_settle.h - which batches the lines of a group can be about, from what there is: for the search alone.
 *
 * A line seldom names a batch in full: `move L061 at=yard/b1 count=9 into=bench` leaves form, type and grade
 * out. If only one batch that fits can be there, whatever the order, then the line is about that one. The
 * batches that can be there are those that are, and those that the lines of the group can make of them.
 */
#ifndef WITHY_STOCK_SETTLE_H
#define WITHY_STOCK_SETTLE_H

#include <stddef.h>
#include <stdint.h>

#include "stock/stock_reach.h"

/*
 * Fills settled[0..n) for the lines op[0..n) of a group whose patterns are reach[0..n): with the one batch
 * where there is only one, else as they are. New patterns are added to `all`.
 */
void stock_settle(const struct stock *s, struct stock_reaches *all, const struct stock_reach *reach, const uint32_t *op, size_t n,
	struct stock_reach *settled);

#endif
