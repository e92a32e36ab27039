/*
 * references.h - trees, lots, charges, bats, orders and parcels: where each comes into the book and
 * where it is named.
 *
 * Every line may be anywhere, so nothing is judged before all are read. Kept are, of each id,
 * the earliest line by date that brings it in as each kind of thing, and that names it in each way:
 * memory follows the ids, not the lines, and the reports do not follow their order.
 */
#ifndef WITHY_REFERENCES_H
#define WITHY_REFERENCES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/vocab.h"

struct diags;
struct reference_start;
struct reference_use;
struct line;
struct pattern_scratch;
struct symbols;

/* The kinds of thing that lines of the book bring in; the others are in the house file. */
#define REFERENCE_KINDS (SUBJECT_TREE | SUBJECT_LOT | SUBJECT_CHARGE | SUBJECT_BAT | SUBJECT_ORDER | SUBJECT_PARCEL)

enum reference_flag {
	REFERENCE_ANY_TIME = 1,   /* may be named before it comes in: a deposit is paid, a note is made */
	REFERENCE_AS_PLACE = 2,   /* named by at=: a charge, or an unknown place */
	REFERENCE_INTO = 4        /* named by into= where no list has the places: whatever the book brings in is none */
};

struct references {
	struct symbols *symbols;
	struct diags *diags;
	struct reference_start *start;
	size_t nstarts, starts_cap;
	struct reference_use *use;
	size_t nuses, uses_cap;
	size_t effort;         /* of looking for what may have been meant */
	bool patterns_told;     /* an id was reported that is not written as the works writes such ids */
	struct pattern_scratch *scratch;
};

void references_init(struct references *t, struct symbols *symbols, struct diags *diags);
void references_release(struct references *t);

/* A line brings it in as `kind` (one SUBJECT_ bit). */
void references_start(struct references *t, uint32_t name, unsigned kind, const struct line *l, struct slice part);

/* A line names it and means one of `kinds`. */
void references_name(struct references *t, uint32_t name, unsigned kinds, unsigned flags, const struct line *l, struct slice part);

/* Whether the id comes in as one of `kinds`; after the last line. */
bool references_is(const struct references *t, uint32_t name, unsigned kinds);

/* Judges a word of doc= or licence= by the house's pattern (HOUSE_IDS_...), each word once. */
void references_paper(struct references *t, uint32_t name, int kind, const struct line *l, struct slice part);

/* After the last line: reports ids that are unknown, too early, two things at once or misshapen. */
void references_end(struct references *t);

#endif
