/*
 * stock_log.h - the stock lines of a book in the order of its files, each in some fifty bytes, in bounded memory.
 *
 * What lines mostly have in common is a shape, and each shape is kept once: event, places, selectors, who wrote it, and
 * which of the rare parts its records have. A record has the number of its shape and what is the line's own. What an item
 * is of is kept once, too. Of the records the last megabytes are in memory, and the others in a file (spill.h).
 */
#ifndef WITHY_STOCK_LOG_H
#define WITHY_STOCK_LOG_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "base/spill.h"

struct slice;
struct stock_item;
struct stock_op;
struct stock_shape;

struct stock_log {
	struct spill records;
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

/*
 * Adds a record, whose items are in `item` from op->counts and op->culls on, and the op->nrest bytes of the line in which
 * its other fields are, as written. Returns where it is.
 */
size_t stock_log_add(struct stock_log *log, const struct stock_op *op, const struct stock_item *item, const char *rest);

/*
 * Reads the record at `at` (from 0, below spill_size(&log->records)) into *op, and adds its items to `items`. Returns where
 * the next one is.
 */
size_t stock_log_read(const struct stock_log *log, struct spill_view *view, size_t at, struct stock_op *op, struct stock_items *items);

/* The bytes with the other fields of the record at `at`. Valid until a record is added or something else is read through the view. */
struct slice stock_log_rest(const struct stock_log *log, struct spill_view *view, size_t at);

/* The day of the record at `at`. */
int32_t stock_log_day(const struct stock_log *log, struct spill_view *view, size_t at);

/*
 * stock_log_record(): the bytes of the record at *at but for those, *n of them; *at is then where the next one
 * is. stock_log_unpack() reads them, or a copy of them; it does not know op->at_log.
 */
const unsigned char *stock_log_record(const struct stock_log *log, struct spill_view *view, size_t *at, size_t *n);
void stock_log_unpack(const struct stock_log *log, const unsigned char *record, struct stock_op *op, struct stock_items *items);

#endif
