/*
 * merge_verdict.h - what becomes of each set of linked units: taken as it is, or a conflict.
 *
 * A set that only one version changed is taken from there. Where both made the same change, it is taken once.
 * Any other set that both changed is a conflict. Nothing is chosen.
 */
#ifndef WITHY_MERGE_VERDICT_H
#define WITHY_MERGE_VERDICT_H

#include <stdbool.h>
#include <stddef.h>

#include "merge/merge_pairs.h"

enum merge_verdict {
	MERGE_TAKEN,
	MERGE_EDITED,      /* edited on both sides */
	MERGE_REMOVED,     /* removed on one side, edited on the other */
	MERGE_REWORDED,    /* added on both sides, the same entry in other words */
	MERGE_UNSURE       /* it cannot be said which line became which */
};

/* Members [from, a) are of the base, [a, b) new ones of version a, [b, to) new ones of version b. */
struct merge_set {
	size_t from, a, b, to;
	enum merge_verdict verdict;
};

struct merge_verdicts {
	const struct merge_side *a, *b;
	size_t *member;       /* numbers as in merge_sets */
	struct merge_set *set;
	size_t nset;
	size_t *set_of;       /* by number: its set; SIZE_MAX for a unit that nobody changed */
	size_t *twin;         /* by number: the equal new unit of the other version, of which one is taken; SIZE_MAX */
};

void merge_verdicts_init(struct merge_verdicts *v, const struct merge_side *a, const struct merge_side *b, struct merge_sets *sets);
void merge_verdicts_release(struct merge_verdicts *v);

/* The text of the unit with that number; whether it is one of the base, of version a, or of b (MERGE_OF_...). */
struct slice merge_text(const struct merge_verdicts *v, size_t number);
unsigned merge_whose(const struct merge_verdicts *v, size_t number);
const struct merge_unit *merge_unit_of(const struct merge_verdicts *v, size_t number);

/* Whether the unit of the base with that number is gone from a version. */
bool merge_is_gone(const struct merge_side *s, size_t number);

#endif
