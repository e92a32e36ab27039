/*
 * life_wood.h - what the wood of bats is of: charge, lots, parcel, supplier, and the days of its grading.
 *
 * Blades of one heap are alike until others come to it. So a way back is followed once for all of them, and not for each bat.
 * What is of mixed pieces has the names of all that it may be of, joined by "or"; one with a chance under 5 % is left out.
 */
#ifndef WITHY_LIFE_WOOD_H
#define WITHY_LIFE_WOOD_H

#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "trace/sources.h"
#include "trace/ties.h"

struct trace;

#define LIFE_SHARE_LEAST 0.05

struct life_grading {
	double share;
	int32_t day;
};

/* Words are of the table that is handed in. */
struct life_wood {
	uint32_t before;           /* the last flow to the heap before the blade was taken: index + 1 */
	uint32_t charge, lot, parcel, supplier;
	size_t lots, nlots;        /* those that the wood was in, pools too: in `lot` of the woods */
	size_t gradings, ngradings; /* first ones, the latest first: in `grading` */
};

struct life_woods {
	struct trace *trace;
	struct intern *words;
	struct life_wood *wood;
	uint32_t *of_heap;         /* by heap: its last wood, index + 1 */
	uint32_t *lot;
	struct life_grading *grading;
	size_t n, cap, nlots, lots_cap, ngradings, gradings_cap;
	struct ties ties;          /* of the bat in hand */
	struct sources sources;
};

/* The trace is settled. */
void life_woods_init(struct life_woods *w, struct trace *trace, struct intern *words);
void life_woods_release(struct life_woods *w);

/* Of a bat; valid until the next call. */
const struct life_wood *life_wood_of(struct life_woods *w, uint32_t bat);

#endif
