/*
 * stock_changes.h - every change of some pieces, with the line that made it and the running total.
 *
 * The pieces are chosen as a line of the book picks them: by place, form, type, grade, class and lot, `-` for none; what is
 * not said fits anything. Sold and culled pieces are in no place. A line that moves pieces among those
 * chosen changes nothing and has no row.
 */
#ifndef WITHY_STOCK_CHANGES_H
#define WITHY_STOCK_CHANGES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock_view.h"

/* What the pieces must be, by enum stock_by; an empty word for anything. */
struct stock_choice {
	struct slice word[STOCK_BY_AGE];
};

/* Reads "place=store/r1,type=SH,grade=-". Returns NULL, or what is wrong with it and what to write. */
const char *stock_choice_read(struct slice text, struct stock_choice *choice);

struct stock_changed {
	struct stock_op op;        /* without its items */
	struct slice lot;          /* whose pieces changed */
	int64_t second;            /* of the day: its own, or that of a later one of the lot before it; INT64_MIN for none */
	size_t turn;
	int64_t in, out;
};

struct stock_changes {
	const struct stock *stock;
	struct stock_choice choice;
	int32_t since;             /* rows of that day and later; what was before is the first total */
	struct stock_changed *row;  /* by day, time and lot, those of a lot in the order in which they happened */
	size_t n, cap;
	int64_t before;            /* pieces before `since` */
};

/* After all lines were handed to `s` and before stock_run(). `since` may be INT32_MIN. */
void stock_changes_init(struct stock_changes *c, const struct stock *s, const struct stock_choice *choice, int32_t since);
void stock_changes_release(struct stock_changes *c);

/* The stock_sink; its context is the `struct stock_changes`. */
void stock_changes_flow(void *context, const struct stock_flow *flow);

/* After stock_run(): puts the rows in their order, which is not that of the book's lines. */
void stock_changes_end(struct stock_changes *c);

/* After that; `path` has the names of the book's files. Initializes the table, which then belongs to the caller. */
void stock_changes_view(const struct stock_changes *c, int32_t today, const char *const *path, struct table *t);

#endif
