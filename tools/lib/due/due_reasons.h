/*
 * due_reasons.h - wy-dry's reasons, with those that say the same of several probes put together.
 */
#ifndef WITHY_DUE_REASONS_H
#define WITHY_DUE_REASONS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct table;

struct due_reason {
	struct slice charge, what;
	struct slice probe;        /* label, or empty */
	struct slice text;         /* without its probe */
	bool said;
};

/* The reasons of one side: "against" emptying a charge, "doubt" or "warning". The caller frees the array. */
struct due_reason *due_reasons_of(const struct table *reasons, const char *side, size_t *n);

/* Writes the i-th and all that say the same of other probes, and marks them as said. */
void due_reason_write(struct due_reason *r, size_t n, size_t i, struct buf *out);

/* Adds a line of text for each, `CHARGE: REASON`. */
void due_reasons_write(const struct table *reasons, const char *side, struct buf *out);

#endif
