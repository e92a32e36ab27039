/*
 * cover.h - for how many weeks the stock lasts if it goes on being used as in the last 13 and 52 weeks.
 *
 *	cover = pieces there / (pieces used / weeks)
 *
 * Counted are pieces that are ready to be used: clefts in the yard, graded blades and handles that are not in a shop, and bats.
 * Used are those that left this: clefts that were loaded, blades and handles that were issued, made into bats
 * or sold, bats that were sold, less those that came back. Culled pieces are not. Where the book is younger than the period, its age takes the place of it.
 */
#ifndef WITHY_COVER_H
#define WITHY_COVER_H

#include <stddef.h>
#include <stdint.h>

#include "stock/stages.h"

struct cover_row;
struct table;

enum { COVER_SHORT_WEEKS = 13, COVER_LONG_WEEKS = 52 };

struct cover {
	const struct stock *stock;
	int32_t today, first;      /* first: the day of the first line that moves pieces; INT32_MAX for none */
	struct stages stages;      /* for what is ready */
	struct cover_row *row;
	size_t n, cap;
};

/* After all lines were handed to `s` and before stock_run(). */
void cover_init(struct cover *c, const struct stock *s, int32_t today);
void cover_release(struct cover *c);

/* The stock_sink; its context is the `struct cover`. */
void cover_flow(void *context, const struct stock_flow *flow);

/* Of so many pieces, of which so many were used in so many days; infinite when none was. */
double cover_weeks(int64_t there, int64_t used, int32_t days);

/* After stock_run(): a row for each form, type and grade. Initializes the table, which then belongs to the caller. */
void cover_view(struct cover *c, struct table *t);

#endif
