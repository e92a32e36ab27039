/*
 * stock_lines.h - the lines of a stock's log day by day, and within a day in the order of the input, in bounded memory.
 */
#ifndef WITHY_STOCK_LINES_H
#define WITHY_STOCK_LINES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/spill_sort.h"
#include "stock/stock_log.h"

struct stock_op;

/* Most books are in that order already, and then nothing is sorted. */
struct stock_lines {
	const struct stock_log *log;
	size_t at;               /* of the next one */
	struct spill_view view;
	bool disorder;
	struct spill_sort sorted; /* copies of the records */
	const void *next;        /* the next of them, or NULL */
	bool taken;              /* it was taken */
};

/* `disorder`: a record is of an earlier day than one before it. The log must not grow until stock_lines_release(). */
void stock_lines_init(struct stock_lines *l, const struct stock_log *log, bool disorder);
void stock_lines_release(struct stock_lines *l);

/* Whether there is a next line; sets its day. */
bool stock_lines_day(struct stock_lines *l, int32_t *day);

/* Takes it; its items are added to `items`. */
void stock_lines_next(struct stock_lines *l, struct stock_op *op, struct stock_items *items);

#endif
