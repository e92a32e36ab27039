/*
 * line_ids.h - the ids of the book that a line names: trees, lots, charges, bats, orders, parcels, and a place
 * that may be a charge. Words of the house file are among them; the caller leaves these out.
 */
#ifndef WITHY_LINE_IDS_H
#define WITHY_LINE_IDS_H

#include <stdbool.h>

#include "book/line.h"

struct line;

struct line_id {
	struct slice text;     /* within the line; of L061/07 it is L061 */
	unsigned kinds;        /* SUBJECT_... bits: what it may be */
	bool starts;           /* the line brings it into the book, as `kinds` */
};

/* Calls `take` for each id of the line, in no order. */
typedef void line_id_fn(void *context, const struct line_id *id);
void line_ids(const struct line *l, line_id_fn *take, void *context);

/* The same id in a line that cannot be read: every word before its comment that is `id`, or starts with it and a slash. */
void line_ids_broken(struct slice text, struct slice id, line_id_fn *take, void *context);

#endif
