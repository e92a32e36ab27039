/*
 * jot_own.h - the last entry of one person on one day, in a file.
 */
#ifndef WITHY_JOT_OWN_H
#define WITHY_JOT_OWN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct vocab;

struct jot_own {
	struct slice line;         /* with its LF, of the file's bytes */
	uint64_t number;
};

/* Finds it by by= and the date. False where there is none. */
bool jot_own_find(struct jot_own *own, const struct vocab *vocab, struct slice bytes, struct slice person, int32_t day);

/* The next line of `bytes` with its LF, which it is moved past. */
struct slice jot_own_next(struct slice *bytes);

/* A line without LF, CR and, where it is the first of a file, the mark of byte order. */
struct slice jot_own_text(struct slice line, bool first);

#endif
