/*
 * grade_view_internal.h - private to the files of grade_view.h.
 */
#ifndef WITHY_GRADE_VIEW_INTERNAL_H
#define WITHY_GRADE_VIEW_INTERNAL_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "math/spread.h"

struct grade_group;
struct grade_mix;
struct table;

enum { GRADE_RANKS = INT32_MAX - 2 }; /* ranks from here on are not the scheme's: other words, ungraded, culled */

/* One grade; qsort() hands no context through, so the values that it is sorted by are looked up before. */
struct grade_column {
	struct spread spread, before; /* of its share between lots, in the period and in the baseline; rows are groups */
	uint32_t grade;
	int rank;          /* its place in the scheme; 0 is the best */
	struct slice word;
};

struct grade_order {
	struct grade_column *column;
	size_t n;
};

/*
 * The proportion of the best grade; then the grade that changed most since the baseline, or the groups
 * with most and least of the best grade, if that is more than chance explains. `group` has all groups.
 */
void grade_view_say(const struct grade_mix *m, const struct grade_group *const *group, const struct grade_order *grades, struct table *t);

#endif
