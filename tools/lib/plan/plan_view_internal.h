/*
 * plan_view_internal.h - words of a plan that its tables and its lines share; private to plan_view.
 */
#ifndef WITHY_PLAN_VIEW_INTERNAL_H
#define WITHY_PLAN_VIEW_INTERNAL_H

#include <stddef.h>
#include <stdint.h>

#include "plan/plan.h"

/*
 * Adds the id for a charge of the plan: that of the last charge of the book, with its number at the end counted on. An id that
 * names the year in two digits, K27-09, starts again with the year: K28-01.
 */
void plan_say_id(const struct plan *p, size_t charge, struct buf *out);

/* Adds "S6/1", "SH/1/light", "SH/1 at 2lb8oz..2lb12oz". */
void plan_say_item(const struct plan *p, const struct order_need *need, struct buf *out);

/* How a need ends, in words: "covered", "in time", "late", "no wood", "no room", "too unlike". */
const char *plan_end_word(enum planner_end end);

/* How many pieces of the plan go to orders, and to the usual demand. */
struct plan_sum {
	int64_t orders, usual;
};

struct plan_sum plan_sum(const struct plan *p, size_t charge);

/* Adds the answer in some sentences. */
void plan_say(const struct plan *p, struct buf *out);

#endif
