/*
 * table_load.h - tables read back from what the filters print: tsv, csv, json.
 *
 * Every cell is a text, as it is written; an empty one is absent, and null of json is too. Tables of one file follow each other with
 * a blank line between, a line `# title`, or nothing: a row of column names (snake_case, three or more) begins a table. In
 * json they are the members of one object. The escapes of tsv and
 * the sign ' that csv puts before formulas are taken off. Lines `#! incomplete` and rows of another length than the
 * header are errors with their line.
 */
#ifndef WITHY_TABLE_LOAD_H
#define WITHY_TABLE_LOAD_H

#include <stdbool.h>
#include <stddef.h>

struct buf;
struct table;

struct tables {
	struct table **v;
	size_t n, cap;
};

/*
 * Adds the tables that `fd` has (the caller opened and closes it). `name` is what errors call the file. False: `error` has one
 * line "NAME:LINE: what is wrong; what to do"; tables before that stay.
 */
bool tables_load(struct tables *all, int fd, const char *name, struct buf *error);

void tables_release(struct tables *all);

#endif
