/*
 * json_rows.h - a line of JSON Lines (one object a line) as the row of a table: a cell for each key that
 * is wanted.
 */
#ifndef WITHY_JSON_ROWS_H
#define WITHY_JSON_ROWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/csv.h"
#include "base/json.h"

struct mapping;

struct json_rows {
	const struct mapping *m;
	struct csv_cell *cell;     /* one for each column of the mapping */
	size_t *at;                /* where the text of each starts; SIZE_MAX: the line has no such key */
	bool *seen;                /* a line had the key */
	struct buf text;
	size_t twice;              /* a column whose key the line has twice, or SIZE_MAX */
	size_t objects;            /* lines read */
};

/* Whether a file that starts so is JSON Lines. */
bool json_rows_is(struct slice head);

/* The mapping must name its columns by keys, not by numbers. */
void json_rows_init(struct json_rows *j, const struct mapping *m);
void json_rows_release(struct json_rows *j);

/*
 * Reads a line. `null` and a key that is not there give an empty cell, with the line's own column. False
 * on a mistake.
 */
bool json_rows_read(struct json_rows *j, struct slice line, struct json_error *error);

/* The first column whose key no line had, or SIZE_MAX. */
size_t json_rows_missing(const struct json_rows *j);

#endif
