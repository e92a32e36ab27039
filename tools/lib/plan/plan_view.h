/*
 * plan_view.h - a plan as tables, and as lines for the book.
 */
#ifndef WITHY_PLAN_VIEW_H
#define WITHY_PLAN_VIEW_H

#include "base/text.h"

enum { PLAN_TABLES = 2 };

struct plan;
struct table;

/*
 * Initializes PLAN_TABLES tables, which then belong to the caller: what to load, and what that does for the orders. The first that has
 * rows has the finding; the first if none has.
 */
void plan_view(const struct plan *p, struct table *t);

/*
 * Adds the `load` lines, with the reasons as comments. A line for a kiln that still holds a charge is a comment too, because it
 * cannot be true yet. The day is the median of when the kiln is free.
 */
void plan_lines(const struct plan *p, struct buf *out);

#endif
