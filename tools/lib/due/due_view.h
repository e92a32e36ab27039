/*
 * due_view.h - the list as a table, and as a page of text.
 */
#ifndef WITHY_DUE_VIEW_H
#define WITHY_DUE_VIEW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct buf;
struct due;
struct table;

struct due_view {
	const struct due *due;     /* closed */
	const char *const *name;   /* of each file */
	int64_t later_lines;       /* entries after today, which were left out */
	size_t nobody;             /* items that nobody looks after, and that were left out for it */
	bool cautioned;            /* the page has the caution itself */
};

/* How many items are of each urgency. */
size_t due_count(const struct due *d, unsigned urgency);

/* The finding: "3 things are overdue, 2 are due today, 5 within 7 days." */
void due_write_finding(const struct due_view *v, struct buf *out);

/* Initializes the table, which then belongs to the caller. */
void due_view_table(const struct due_view *v, struct table *t);

/* The items by their urgency, in lines of at most `width` cells. */
void due_view_text(const struct due_view *v, size_t width, struct buf *out);

/* What must be said to whoever goes to a kiln; empty where no item is about one. */
const char *due_caution(const struct due *d);

#endif
