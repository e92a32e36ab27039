/*
 * flat_sql.h - entries as rows of SQL: a table for each event, and one for the items of all fields.
 *
 * The columns are those of flat.h, with the running number of the entry and the file. Cells that are
 * absent are left out of an INSERT, so that they are NULL. A name is quoted, and its - is written _.
 */
#ifndef WITHY_FLAT_SQL_H
#define WITHY_FLAT_SQL_H

#include <stdbool.h>

#include "book/flat.h"

struct vocab;

struct flat_sql {
	const struct vocab *vocab;
	const struct event_def *event; /* its table alone; NULL: of all events */
	bool items_alone;              /* only the table of items; of all tables without an event it is one */
	struct flat *of_event;         /* by event id; empty until the event is first needed */
	struct flat items;
};

void flat_sql_init(struct flat_sql *s, const struct vocab *vocab, const struct event_def *event, bool items_alone);
void flat_sql_release(struct flat_sql *s);

/*
 * Adds to `name` the name that two tables would share, and returns true; it comes from the works'
 * own events. False when there is none.
 */
bool flat_sql_tables_clash(const struct flat_sql *s, struct buf *name);

/*
 * Add CREATE TABLE for each table, and INSERT INTO the tables for an entry. Each returns the name that
 * two columns of a table would share (flat_clash()), or NULL; then what was added is not to be used.
 */
const char *flat_sql_create(struct flat_sql *s, struct buf *out);
const char *flat_sql_insert(struct flat_sql *s, struct flat_row *row, struct buf *out);

#endif
