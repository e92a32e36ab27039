/*
 * stock_lines.h - the lines of a stock's log day by day, and within a day in the order of the input, in bounded memory.
 *
 * Most books are in that order. Of one that is not, the log is copied in parts that are each sorted in memory, and the
 * parts are merged as they are read.
 */
#ifndef WITHY_STOCK_LINES_H
#define WITHY_STOCK_LINES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock_log.h"

struct stock_op;
struct stock_lines;

/* `disorder`: a record is of an earlier day than one before it. The log must not grow until stock_lines_free(). */
struct stock_lines *stock_lines_new(const struct stock_log *log, bool disorder);
void stock_lines_free(struct stock_lines *l);

/* Whether there is a next line; sets its day. */
bool stock_lines_day(struct stock_lines *l, int32_t *day);

/* Takes it; its items are added to `items`. op->rest is valid until stock_lines_day() is called. */
void stock_lines_next(struct stock_lines *l, struct stock_op *op, struct stock_items *items);

#endif
