/*
 * tidy_file.h - the files of a book in canonical form: read, compared with what they were, replaced.
 */
#ifndef WITHY_TIDY_FILE_H
#define WITHY_TIDY_FILE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/tidy.h"

struct parser;

struct tidy_file {
	struct parser *parser; /* reads the lines; its diagnostics get their mistakes */
	bool keep_order;       /* the lines are not sorted */
	const bool *fix;       /* by rule: exact corrections to be made, and nothing else; NULL: the canonical form */
	struct tidy tidy;      /* the rows of what was read */
	uint64_t unread;       /* lines that could not be read, in all files so far */
};

void tidy_file_init(struct tidy_file *f, struct parser *parser, bool keep_order);
void tidy_file_release(struct tidy_file *f);

/* Adds the lines of `bytes`, which must outlive the rows. A last line without an LF is reported. */
void tidy_file_add(struct tidy_file *f, struct slice bytes, uint32_t file);

/* The rows of that file alone, in order unless keep_order. `bytes` must outlive them. */
void tidy_file_arrange(struct tidy_file *f, struct slice bytes, uint32_t file);

/* Adds the unified diff between the file that was arranged and its canonical form, under `name`. */
void tidy_file_diff(const struct tidy_file *f, struct slice name, struct buf *out);

/*
 * Reads the file at `path`, arranges it, and replaces it at once where that changes it. 0, or an
 * error for atomic_write_error(); then the file is as it was. The rows are not valid afterwards.
 */
int tidy_file_replace(struct tidy_file *f, const char *path, uint32_t file);

#endif
