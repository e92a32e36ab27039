/*
 * unified_diff.h - the unified diff of two versions of a file that know which line became which.
 *
 * The lines that are left out of the diff are the longest run of unchanged lines that kept their
 * order among themselves. They are found in n log n steps, so a file of a million lines is cheap.
 * The format is the unified one of POSIX diff -u: patch and git apply take it.
 */
#ifndef WITHY_UNIFIED_DIFF_H
#define WITHY_UNIFIED_DIFF_H

#include <stddef.h>

#include "base/text.h"

enum { UNIFIED_DIFF_CONTEXT = 3 };

/* A line of the new version, and the index of the old line that it was, or SIZE_MAX. */
struct unified_diff_line {
	struct slice text;
	size_t was;
};

/*
 * Adds the diff from `was` to `now`, under `name` on both sides; nothing where they are the same.
 * Lines hold their line end, but for the last, which may have none.
 */
void unified_diff_write(struct buf *out, struct slice name, const struct slice *was, size_t nwas,
	const struct unified_diff_line *now, size_t nnow);

#endif
