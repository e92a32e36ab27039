/*
 * append.h - appends entries to a book: locked against other writers, all of them or none.
 *
 * From append_open() to append_close() the book is locked (atomic_write.h). What the book has is read
 * under the lock, so that of two that append the same export the second finds it there. The new book
 * replaces the old one in one step: whoever looks, after whatever crash, finds one of the two in full.
 * Where nothing was added, the book is not touched.
 */
#ifndef WITHY_APPEND_H
#define WITHY_APPEND_H

#include <stddef.h>
#include <stdint.h>

#include "base/atomic_write.h"

struct diags;
struct intake;
struct mapping;
struct vocab;

struct append {
	struct atomic_write file;
	struct buf bytes;          /* the book as it was, then what is added */
	size_t old_n;
	uint64_t lines;            /* that append_commit() appended */
};

/* Opens, locks and reads the book, which must exist. 0, or an error for atomic_write_error(). */
int append_open(struct append *a, const char *path);

/*
 * Makes the book's readings known to the run (intake_know). Mistakes go to `diags` as of file `file`;
 * returns how many lines could not be read.
 */
uint64_t append_know(struct append *a, struct intake *run, const struct mapping *m, const struct vocab *vocab,
	struct diags *diags, uint32_t file);

/* Takes all of `out` and empties it. */
void append_add(struct append *a, struct buf *out);

/*
 * Puts the new book in place, without lines that the old one has word for word: a line without a reading,
 * which intake_know() does not know. 0 or an error; then the book is as it was.
 */
int append_commit(struct append *a);

/* Lets go of the lock. To be called also after a failed append_open(). */
void append_close(struct append *a);

#endif
