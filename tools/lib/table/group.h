/*
 * group.h - groups of readings by key, with exact counts and sums.
 *
 * A `struct groups` maps keys (some slices each, such as a place and a month) to counts and sums of
 * fixed-point readings (stats.h). All are whole numbers, so two sets of groups that were made from
 * parts of the same lines merge to the same bytes, in whichever order and however the lines were
 * cut: group_merge() is associative and commutative. A sum may keep the names at its
 * ends (the wettest piece). Of equal readings, the name that comes first bytewise wins, for the same
 * reason.
 *
 * Memory follows the number of different keys. A group stays where it is until the set is
 * released, so a pointer to it may be kept.
 */
#ifndef WITHY_GROUP_H
#define WITHY_GROUP_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "base/text.h"

struct sums;

enum { GROUP_KEYS_MOST = 16 };

/* What the groups of a set hold; it and its arrays must outlive the set. */
struct groups_plan {
	const char *name;          /* of the set: "air" */
	size_t nkeys, ncounts, nsums;
	const char *const *counts; /* their names */
	const char *const *sums;
	size_t nnamed;             /* how many of the first sums keep the names at their ends */
	size_t extra;              /* bytes of the caller's own in each group, zero at first */
};

/* Whose readings are the least and the most. */
struct group_ends {
	struct buf least, most;
};

struct group {
	uint64_t hash;
	struct slice *key;
	int64_t *count;
	struct sums *sums;
	struct group_ends *ends;
	void *extra;
};

struct groups {
	const struct groups_plan *plan;
	struct group **list;       /* in the order of their making, or after groups_sort() of their keys */
	size_t n, cap;
	struct hash_index index;   /* of the list, by keys */
};

void groups_init(struct groups *set, const struct groups_plan *plan);
void groups_release(struct groups *set);

/* The group of these keys (plan->nkeys of them), made where there is none. */
struct group *groups_at(struct groups *set, const struct slice *key);

/* Adds `from` to sum `i`; of a sum that keeps who, whose its ends are. */
void group_add_sums(const struct groups_plan *plan, struct group *g, size_t i, const struct sums *from,
	struct slice least_who, struct slice most_who);

/* Adds counts and sums of `from` to `into`; the plans must be alike. `extra` is not looked at. */
void group_merge(const struct groups_plan *plan, struct group *into, const struct group *from);

/* Puts the list in the bytewise order of the first key, then the second and so on. */
void groups_sort(struct groups *set);

/*
 * A sum in 64 bits for an inner loop, of readings under 2^22 in size: empty it into the exact one
 * before it has LANE_FULL of them.
 */
struct lane {
	int64_t n, sum, squares, least, most;
};

enum { LANE_FULL = 1 << 18 };

void lane_clear(struct lane *lane);
void lane_empty(struct lane *lane, struct sums *into);

static inline void lane_add(struct lane *lane, int64_t reading, struct sums *into)
{
	lane->sum += reading;
	lane->squares += reading * reading;
	if (reading < lane->least)
		lane->least = reading;
	if (reading > lane->most)
		lane->most = reading;
	if (++lane->n == LANE_FULL)
		lane_empty(lane, into);
}

#endif
