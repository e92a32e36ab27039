/*
 * lines_of.h - the lines of a book that name an id: all of them, the one where it began, what a new name would change.
 */
#ifndef WITHY_LINES_OF_H
#define WITHY_LINES_OF_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct ask;
struct buf;
struct slice;
struct works;
struct works_file;

struct lines_of_row {
	const struct works_file *file;
	size_t line;
	uint32_t col, end;     /* bytes of the id in its line */
	int32_t day, second;   /* of an entry that can be read; INT32_MAX */
	bool starts;           /* it brings the id into the book */
};

struct lines_of {
	struct lines_of_row *row;
	size_t n, cap;
};

/* All places that name the id, in the order of the files. */
struct lines_of lines_of(struct works *w, struct slice id);
void lines_of_release(struct lines_of *t);

/* In the order of their dates and times instead. */
void lines_of_sort(struct lines_of *t);

/* The earliest row that brings it in, or NULL. */
const struct lines_of_row *lines_of_start(const struct lines_of *t);

/* The id of the book at a place: empty where there is none, or a word of the house file. Part of the line's bytes. */
struct slice lines_of_id(const struct ask *ask);

/* Answers: Location or null; Location array; a range or null; WorkspaceEdit. False: `out` says why not, in plain text. */
void lines_of_definition(struct buf *out, const struct ask *ask);
void lines_of_references(struct buf *out, const struct ask *ask, bool with_start);
bool lines_of_prepare(struct buf *out, const struct ask *ask);
bool lines_of_rename(struct buf *out, const struct ask *ask, struct slice name);

/* Symbols: the ids that begin in a file; and those of the book whose name holds `query`. */
void lines_of_symbols(struct buf *out, struct works *w, const struct works_file *f);
void lines_of_search(struct buf *out, struct works *w, struct slice query, size_t most, size_t *n);

#endif
