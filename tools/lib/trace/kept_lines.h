/*
 * kept_lines.h - lines of a book put aside as they are, until it is known which of them are wanted.
 *
 * Lines are found again by their subjects: those with a `/` by what is before it. Memory: two blocks of KEPT_BLOCK bytes; the
 * rest is in a file of the system's temporary folder (spool.h).
 */
#ifndef WITHY_KEPT_LINES_H
#define WITHY_KEPT_LINES_H

#include <stddef.h>
#include <stdint.h>

#include "base/spool.h"

struct line;
struct vocab;

enum { KEPT_BLOCK = 512 * 1024, KEPT_WANTED = 1 << 17 };

struct kept_lines {
	struct spool log;          /* blocks of KEPT_BLOCK bytes, of whole lines; log.error: why they cannot be held or read back, or 0 */
	struct buf block;
};

/* Subjects that are wanted: bits by the hashes of their texts, so that lines of a few others are wanted too. */
struct kept_wanted {
	uint8_t bits[KEPT_WANTED];
};

void kept_lines_release(struct kept_lines *k);

/* A zeroed struct is empty. */
void kept_lines_add(struct kept_lines *k, const struct line *l);

void kept_lines_want(struct kept_wanted *wanted, struct slice subject);

/*
 * Gives out all lines whose subjects are wanted, parsed again; all lines where `wanted` is NULL. Can be called again. No line
 * may be added after. The vocabulary is that of the lines.
 */
void kept_lines_each(struct kept_lines *k, const struct vocab *vocab, const struct kept_wanted *wanted,
	void (*take)(void *context, const struct line *l), void *context);

#endif
