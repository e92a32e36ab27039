/*
 * stock_levels.h - what the lines of a group need of single batches, for pruning the search for an order.
 *
 * Take the lines that touch one batch, and forget all others. Whether they can still be applied in some
 * order depends only on which of them are done, for those decide how many pieces the batch has. So a small
 * table says it for every choice of them, and an order in which one batch is lost need not be followed.
 * Only batches count that each line names in full, or does not touch at all.
 */
#ifndef WITHY_STOCK_LEVELS_H
#define WITHY_STOCK_LEVELS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock_reach.h"

enum { LEVEL_LINES = 14 }; /* lines of the largest batch that has a table */

struct level_table;

struct level_touch {
	uint32_t table, bit;
};

struct stock_levels {
	struct level_table *table;
	size_t ntables, tables_cap;
	struct level_touch *touch;   /* of the first line, then the next */
	size_t ntouches, touches_cap;
	uint32_t *first;             /* by line, and one more: where its touches begin */
	bool lost;                   /* a batch ends with less than none, or has no order: no order of all lines is valid */
};

/*
 * Makes the tables for those lines of op[0..n) that are not done, from the state in hand. With
 * `free_times` as if no line had a time.
 */
void stock_levels_init(struct stock_levels *x, const struct stock *s, const struct stock_reaches *all, const struct stock_reach *reach,
	const uint32_t *op, const bool *done, size_t n, bool free_times);
void stock_levels_release(struct stock_levels *x);

/* A line was applied, or taken back. */
void stock_levels_turn(struct stock_levels *x, uint32_t line);

/* Whether every batch that the line touches can still come out right. */
bool stock_levels_hold(const struct stock_levels *x, uint32_t line);

#endif
