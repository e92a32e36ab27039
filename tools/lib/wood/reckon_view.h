/*
 * reckon_view.h - what the bench calculator shows: an answer, the list of quantities, the words of help.
 *
 * All of it comes from the table of ways. Tables are initialized here and belong to the caller.
 */
#ifndef WITHY_RECKON_VIEW_H
#define WITHY_RECKON_VIEW_H

#include <stdbool.h>

#include "base/text.h"

struct reckon_way;
struct reckoned;
struct table;

/* A row for each value of the answer, with its notes; with its cautions too where the table can show them. */
void reckon_view_answer(const struct reckoned *r, bool cautions, struct table *t);

/* A row for each way. */
void reckon_view_list(struct table *t);

/* The help page of a quantity, or of all quantities when the way is NULL. A zero value is empty. */
struct reckon_help {
	struct buf name, purpose, usage, example;
};

void reckon_help_init(struct reckon_help *h, const struct reckon_way *way);
void reckon_help_release(struct reckon_help *h);

#endif
