/*
 * stock_log.h - the stock lines of a book in the order of its files, each in some fifty bytes.
 *
 * What lines mostly have in common is a shape, and each shape is kept once: event, places, selectors, who wrote it, and
 * which of the rare parts its records have. A record has the number of its shape and what is the line's own. What an item
 * is of is kept once, too.
 */
#ifndef WITHY_STOCK_LOG_H
#define WITHY_STOCK_LOG_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"

struct stock_item;
struct stock_op;
struct stock_shape;

struct stock_log {
	unsigned char *bytes;      /* the records */
	size_t n, cap;
	struct stock_shape *shape;
	size_t nshapes, shapes_cap;
	struct stock_item *what;   /* the items that there are but for their numbers of pieces */
	size_t nwhats, whats_cap;
	struct hash_index shapes, whats;
	uint32_t last[32];         /* the last shape of an event, by some bits of it */
};

/* Items that were read; a growing array. */
struct stock_items {
	struct stock_item *v;
	size_t n, cap;
};

void stock_log_release(struct stock_log *log);

/* Adds a record, whose items are in `item` from op->counts and op->culls on. */
void stock_log_add(struct stock_log *log, const struct stock_op *op, const struct stock_item *item);

/*
 * Reads the record at `at` (from 0, below log->n) into *op, and adds its items to `items`. Returns where the next one is.
 * op->rest is valid until a record is added.
 */
size_t stock_log_read(const struct stock_log *log, size_t at, struct stock_op *op, struct stock_items *items);

/* The day of the record at `at`. */
int32_t stock_log_day(const struct stock_log *log, size_t at);

#endif
