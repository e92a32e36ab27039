/*
 * grade_mix.h - the grades that blades got, counted by grade and by the keys of --by.
 *
 * The flows of grade lines are counted. A blade's first grade counts; with `regrades`, only what
 * blades that had a grade became. A grade line that culls a blade counts it as culled, and one that
 * gives no grade as ungraded.
 *
 * Grades of two schemes are never counted together: the scheme is a key of every group, the last one where it was not asked for. Where
 * the house says what the grades of the scheme before count as (`former`), they count as those, under the later scheme.
 */
#ifndef WITHY_GRADE_MIX_H
#define WITHY_GRADE_MIX_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "grades/charge_kiln.h"
#include "grades/last_charge.h"

struct house_scheme;
struct provenance;
struct stock;
struct stock_flow;

enum grade_by {
	GRADE_BY_TREE, GRADE_BY_PARCEL, GRADE_BY_SUPPLIER, GRADE_BY_CHARGE, GRADE_BY_KILN, GRADE_BY_LOT, GRADE_BY_TYPE, GRADE_BY_GRADER, GRADE_BY_MONTH,
	GRADE_BY_SCHEME, GRADE_BY_WAS, GRADE_KEYS
};

extern const char *const grade_by_words[]; /* ended by NULL */

struct grade_ask {
	size_t by[GRADE_KEYS], nby; /* enum grade_by, in the order of the columns */
	int32_t from, to;           /* days that are counted; INT32_MIN and INT32_MAX: all */
	int32_t baseline;           /* the first day of the baseline, which ends before `from`; `from` when there is none */
	bool has_baseline;
	bool regrades;
	bool wide;                  /* a row for each set of keys, with a column of shares for each grade */
};

/* Numbers in `grades` for blades without a grade. Their texts begin with a space, which no grade does. */
enum { GRADE_CULLED = 1, GRADE_NONE };

/* What a grade line did with blades that were alike. */
struct grading {
	int32_t day;
	uint32_t lot;
	struct slice key[GRADE_KEYS]; /* by enum grade_by: where the blades are from, and whose; those of the day and of grades are not used */
	struct slice was, got;        /* grades as written; empty: none */
	bool culled;
	int64_t n;
};

/* The blades of one set of keys. */
struct grade_group {
	struct slice key[GRADE_KEYS]; /* in the order of the mix's `by` */
	const struct house_scheme *scheme; /* NULL: none was in force */
	int64_t now, before;          /* looked at in the period, and in the baseline before it */
};

/* Those of them that got one grade, or were culled. */
struct grade_count {
	int64_t now, before;
};

/* The blades of one set of keys that are of one lot. */
struct grade_lot {
	size_t group;
	uint32_t lot;
	int64_t now, before;
};

struct grade_mix {
	const struct grade_ask *ask;
	const struct stock *stock;
	const struct provenance *origins;
	const struct charge_kiln *kilns; /* the caller's, where kilns are asked for; NULL: not known */
	size_t by[GRADE_KEYS], nby;  /* the keys of the groups: those that were asked for, and the scheme */
	int32_t end;                 /* the last day on which something was graded: as from which schemes are joined */
	struct last_charge charges;  /* followed where charges or kilns are asked for */
	bool by_charge;
	struct intern months, grades;
	struct intern groups, counts; /* their number - 1 is the index below; `counts` has bytes */
	struct intern lots, lot_counts; /* the same of the lots of groups */
	struct grade_group *group;
	struct grade_count *count;
	size_t groups_cap, counts_cap;
	struct grade_lot *lot;
	struct grade_count *lot_count;
	size_t lots_cap, lot_counts_cap;
	int32_t last;                /* the last day on which a blade was counted, or INT32_MIN */
	bool ungraded;               /* whether a grade line gave none */
};

/* The last day up to `to` on which the stock's lines grade something; INT32_MIN: none. */
int32_t grade_last_day(const struct stock *s, int32_t to);

/* Before stock_run(), after provenance_end(). The arguments must last as long as the mix. */
void grade_mix_init(struct grade_mix *m, const struct grade_ask *ask, const struct stock *s, const struct provenance *origins);
void grade_mix_release(struct grade_mix *m);

/* The stock_sink; its context is the `struct grade_mix`. */
void grade_mix_flow(void *context, const struct stock_flow *flow);

/* Whether a flow is a grading, and which, with the keys of the mix's `by`. The texts last as long as the engine. */
bool grade_mix_grading(struct grade_mix *m, const struct stock_flow *flow, struct grading *g);

/* Counts a grading that comes from elsewhere than a flow. Its lot is a number of the engine's ids. */
void grade_mix_add(struct grade_mix *m, const struct grading *g);

/* How many sets of keys there are, and how many of the group-th got a grade, by its number in `grades`. */
size_t grade_mix_groups(const struct grade_mix *m);
struct grade_count grade_mix_count(const struct grade_mix *m, size_t group, uint32_t grade);

/* The same of the lots of the groups, by their index in `lot`. */
size_t grade_mix_lots(const struct grade_mix *m);
struct grade_count grade_mix_lot_count(const struct grade_mix *m, size_t lot, uint32_t grade);

#endif
