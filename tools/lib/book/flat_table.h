/*
 * flat_table.h - the entries of an event, or the items of fields, as rows of a table, which are written
 * as they come: a book of any length takes the memory of FLAT_TABLE_HELD rows. The widths of the
 * columns of a text follow from the first of them.
 */
#ifndef WITHY_FLAT_TABLE_H
#define WITHY_FLAT_TABLE_H

#include <stddef.h>

#include "book/flat.h"

enum { FLAT_TABLE_HELD = 1000 };

struct flat_table {
	struct flat flat;
	struct table table;
	struct table_style style; /* set by the caller before flat_table_begin() */
	bool items;
	size_t rows;    /* so far */
};

/*
 * The columns of the event, or of items where it is NULL, with what enum FLAT_WITH_... says. Returns the
 * name that two of them would share (flat_clash()), or NULL; to be released in any case.
 */
const char *flat_table_init(struct flat_table *t, const struct event_def *event, unsigned with);
void flat_table_release(struct flat_table *t);

/* Add what comes before the rows, the row of an entry or those of its items, and what comes after. */
void flat_table_begin(struct flat_table *t, struct buf *out);
void flat_table_add(struct flat_table *t, struct flat_row *row, struct buf *out);
void flat_table_end(struct flat_table *t, struct buf *out);

#endif
