/*
 * moist_view.h - what the tables of wy-moist(1) share, and the one of moisture as it is.
 *
 * Each function that fills a table initializes it; it belongs to the caller. Its columns are the keys
 * in the order of `by` and then what it says of each. It has a row for a row of moist_rows.h;
 * moist_view_depth.h says where it has more. The result is whether there is an answer at all.
 */
#ifndef WITHY_MOIST_VIEW_H
#define WITHY_MOIST_VIEW_H

#include <stdbool.h>

#include "moist/moist_rows.h"

struct moist_ask;
struct moist_rows;
struct table;

struct moist_view {
	const struct moist_ask *ask;
	struct moist_rows *rows;            /* finished */
	void (*row_done)(struct table *t);  /* called after each row, which it may flush; or NULL */
};

/* Moisture: of all readings where ask->all is set, else of the last of each piece. */
bool moist_view_answer(const struct moist_view *v, struct table *t);

#endif
