/*
 * due_handles.h - handles that have not rested as long as the house asks (`rests`).
 *
 * A lot rests from the day that it came in, as long as pieces in that place must. Handles that a tally found are old: they are not watched.
 */
#ifndef WITHY_DUE_HANDLES_H
#define WITHY_DUE_HANDLES_H

#include "due/due_lines.h"

struct stock;
struct stock_flow;

/* Of one lot: when it came in, and how many of its handles went into bats too early. */
struct due_lot {
	int32_t born, rest;        /* the first day on which it came in, or INT32_MIN; days */
	int64_t early;
	struct due_line first, last; /* of those */
};

struct due_handles {
	const struct house *house; /* or NULL */
	struct stock *stock;
	int32_t from;              /* bats made before this day do not count */
	struct due_lot *lot;       /* by its id */
	size_t n;
};

void due_handles_init(struct due_handles *h, const struct house *house, struct stock *stock, int32_t from);
void due_handles_release(struct due_handles *h);

/* Before the run of the stock, and each of its flows. */
void due_handles_begin(struct due_handles *h);
void due_handles_flow(struct due_handles *h, const struct stock_flow *f);

/* After the run. */
void due_handles_find(struct due *d, const struct due_handles *h, struct due_lines *lines);

#endif
