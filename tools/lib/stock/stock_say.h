/*
 * stock_say.h - words and figures of findings, and which columns a line has room for.
 *
 * A finding is a sentence for the reader (table.h). Its figures are rounded: a proportion is written
 * in per cent, with one decimal below 10 %.
 */
#ifndef WITHY_STOCK_SAY_H
#define WITHY_STOCK_SAY_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

/* "1 piece", "2 pieces": the noun gets an s where the number is not 1. */
void stock_say_count(struct buf *b, int64_t n, struct slice noun);

/* A proportion from 0 to 1 as "6.7 %" or "67 %". */
void stock_say_percent(struct buf *b, double share);

/* A chance from 0 to 1 as "67 %", cut off and not rounded: one of 0.897 is not shown as 90 %. */
void stock_say_chance(struct buf *b, double chance);

/* "6.7 %, 95 % interval 6.3 to 7.1 %": a proportion and its interval. */
void stock_say_interval(struct buf *b, double share, double low, double high);

/* "2027-12-31". */
void stock_say_day(struct buf *b, int32_t day);

/*
 * How many columns of figures, each of so many cells, fit a line of 80 after `used` cells; at least one.
 * And a heading if its rank is among so many, else NULL.
 */
size_t stock_say_room(size_t used, size_t cells);
const char *stock_say_heading(const char *heading, size_t rank, size_t room);

#endif
