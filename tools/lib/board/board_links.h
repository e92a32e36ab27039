/*
 * board_links.h - which ids have a page on the board, and what its file is called.
 */
#ifndef WITHY_BOARD_LINKS_H
#define WITHY_BOARD_LINKS_H

#include "base/intern.h"

struct month;
struct trace;

struct board_id {
	struct slice id;
	unsigned kinds;            /* trace_kinds(): never 0 */
};

struct board_links {
	const struct month *month;
	struct board_id *id;       /* in the order of their texts */
	size_t n, cap;
};

/* Finds the bats, lots, charges and trees of a trace. */
void board_links_init(struct board_links *l, const struct month *m, const struct trace *t);
void board_links_release(struct board_links *l);

/* Whether a charge is in a kiln: it has a page of its own besides. */
bool board_links_is_open(const struct board_links *l, struct slice id);

/* Adds the name of a file: board_file("of-", id). */
void board_file(const char *head, struct slice id, struct buf *out);

/* The function of struct table_links; its context is the `struct board_links`. */
void board_links_to(const void *context, const char *column, struct slice text, struct buf *out);

#endif
