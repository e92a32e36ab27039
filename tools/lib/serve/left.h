/*
 * left.h - what is left after a line: of a lot in the place that the line took it from, or brought it to.
 *
 * Fed with the flows of a stock run, in their order. A line that moves pieces of several lots is counted for the
 * place instead, and one that moves pieces of several places not at all. At the end it knows where every lot is.
 */
#ifndef WITHY_LEFT_H
#define WITHY_LEFT_H

#include <stdint.h>

#include "stock/stock.h"

struct left_count {
	uint32_t lot, place;   /* lot 0: all lots of the place */
	int64_t n;
};

struct left_row {
	uint32_t file;
	uint64_t line;
	uint32_t lot, place;   /* lot 0: several */
	int64_t n;
};

struct left {
	const struct stock *stock;
	struct left_count *count;
	size_t ncounts, counts_cap;
	struct hash_index index;
	struct left_row *row;  /* in the order in which lines were carried out */
	size_t nrows, rows_cap;
	size_t line;           /* the one in hand: where it is in the stock's log, + 1 */
};

void left_init(struct left *t, const struct stock *stock);
void left_release(struct left *t);

/* A stock_sink. */
void left_flow(void *context, const struct stock_flow *flow);

#endif
