/*
 * merge_pairs.h - which unit of a version of a book was which unit of the base.
 *
 * Units with the same text are the same unit. Of the others of a version, which are new, and of the base,
 * which are gone, those are linked that may be one entry before and after a change, in these steps:
 *   1. the same entry, with other comment lines above it;
 *   2. the same date, time, event and subject;
 *   3. the same event, subject and fields, whatever the remark: only the date or the time changed;
 *   4. the same date, time, event and fields: only the subject changed;
 *   5. both lie between the same unchanged units, and at most one of date, time, event and subject changed;
 *      for lines other than entries the place is enough;
 *   6. the same event and subject, or then event and fields, where only one is gone and one is new.
 * Steps 3 and 4 also link units that step 2, 3 or 4 has linked: an entry that may have become either of two
 * is in one set with both.
 * All units that a step links by the same words, or at the same place, form one set. A set of one unit
 * each is an edit. In a larger one it is not known which was which.
 */
#ifndef WITHY_MERGE_PAIRS_H
#define WITHY_MERGE_PAIRS_H

#include <stdbool.h>
#include <stddef.h>

#include "merge/merge_units.h"

/*
 * Sets of linked units of the base and both versions: those with the same root. A unit of the base has
 * the number that it has there; those of the versions follow.
 */
struct merge_sets {
	size_t *parent;
	size_t n;
};

void merge_sets_init(struct merge_sets *s, size_t n);
void merge_sets_release(struct merge_sets *s);
void merge_sets_join(struct merge_sets *s, size_t a, size_t b);
size_t merge_sets_root(struct merge_sets *s, size_t a);

/* A version beside the base. */
struct merge_side {
	const struct merge_book *base, *book;
	size_t first;         /* the number of its first unit in the sets */
	size_t *was;          /* by unit: the base's unit that it is or was; SIZE_MAX for none, or not known which */
	bool *same;           /* by unit: it has the base's text; any other is new */
	bool *moved;          /* by unit with `was`: it is not in the order of the base */
	bool *linked;         /* by new unit: it is in a set with units of the base */
	bool *gone;           /* by unit of the base: no unit of the version has its text */
	bool *base_linked;    /* by unit of the base that is gone: the version has new ones in its set */
	size_t *base_at;      /* by unit of the base: its unit in the version that it still or now is; SIZE_MAX for none */
	size_t *gap, *base_gap; /* by unit: how many unchanged units are above it that kept their order */
};

/* Finds the pairs and joins the sets. To be released. */
void merge_side_init(struct merge_side *s, const struct merge_book *base, const struct merge_book *book, size_t first,
	struct merge_sets *sets);
void merge_side_release(struct merge_side *s);

/*
 * Links across both versions: new entries that say the same (book(5), clause 13.1); and where an entry of
 * the base is gone from both without a successor, the new entries that both have at its place, and those of the
 * same event and subject that one or both have anywhere.
 */
void merge_sides_link(struct merge_side *a, struct merge_side *b, struct merge_sets *sets);

#endif
