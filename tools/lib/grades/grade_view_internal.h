/*
 * grade_view_internal.h - private to the files of grade_view.h.
 */
#ifndef WITHY_GRADE_VIEW_INTERNAL_H
#define WITHY_GRADE_VIEW_INTERNAL_H

#include <stdbool.h>

#include "grades/grade_mix.h"
#include "house/house.h"
#include "math/mix_shift.h"
#include "math/spread.h"
#include "math/stats.h"
#include "stock/stock_say.h"
#include "table/table.h"

enum { GRADE_RANKS = INT32_MAX - 2 }; /* ranks from here on are not the scheme's: other words, ungraded, culled */

/* One grade; qsort() hands no context through, so the values that it is sorted by are looked up before. */
struct grade_column {
	struct spread spread, before; /* of its share between lots, in the period and in the baseline; rows are groups */
	uint32_t grade;
	int rank;          /* its place in the scheme; 0 is the best */
	struct slice word;
};

/* The grades of one scheme, the best first, and what its groups come to. */
struct grade_order {
	const struct house_scheme *scheme; /* NULL: none was in force */
	struct grade_column *column;
	size_t n;
	size_t kinds;                      /* what a blade can get: the scheme's grades, others that were given, culled, ungraded */
	int64_t now, before;
};

/* What the tables are made of. */
struct grade_answer {
	const struct grade_mix *m;
	const struct house *house;         /* or NULL */
	const struct grade_group **group;  /* by their keys */
	size_t ngroups;
	struct grade_order *order;         /* of each scheme, the latest first */
	size_t norders;
	struct grade_order all;            /* the grades of all schemes, without spreads */
	size_t nkeys;                      /* of the groups' keys, how many are shown */
};

void grade_answer_init(struct grade_answer *a, const struct grade_mix *m, const struct house *house);
void grade_answer_release(struct grade_answer *a);

/* The index in the mix of the i-th group; the grades of its scheme; its count of a grade. */
size_t grade_answer_at(const struct grade_answer *a, size_t i);
const struct grade_order *grade_answer_order(const struct grade_answer *a, size_t i);
struct grade_count grade_answer_count(const struct grade_answer *a, size_t i, uint32_t grade);

/* The same of all groups of a scheme together. */
struct grade_count grade_answer_all(const struct grade_answer *a, const struct grade_order *order, uint32_t grade);

/* The scheme that the finding is of: the latest with a blade of the period; NULL: none. */
const struct grade_order *grade_answer_latest(const struct grade_answer *a);

/* The columns and cells of a group's keys. */
void grade_answer_key_columns(const struct grade_answer *a, struct table *t);
void grade_answer_keys(const struct grade_answer *a, size_t i, struct table *t);

/*
 * The period and the baseline of the i-th group, or with a->ngroups of all groups of the order, for mix_shift_of(): a part for each
 * grade of the order. Returns the degrees of freedom of the designs, 0 where nothing is known of the lots.
 */
double grade_answer_parts(const struct grade_answer *a, const struct grade_order *order, size_t i, struct mix_part *part);

/*
 * The proportion of the best grade; then the grades that moved since the baseline, or the groups
 * with most and least of the best grade, if that is more than chance explains.
 */
void grade_view_say(const struct grade_answer *a, struct table *t);

#endif
