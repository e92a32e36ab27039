/*
 * way.h - what happened to the subject of a trace, and how long it was where, with the air there.
 */
#ifndef WITHY_WAY_H
#define WITHY_WAY_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct ties;
struct trace;

#define WAY_SEVERAL UINT32_MAX

enum { WAY_PEOPLE = 8 };

/* What a piece is and where, as far as the order of two rows of one day goes. */
struct way_state {
	uint32_t place;            /* also the places of what was sold, or culled; 0 before it came in */
	int32_t form;
};

/* Steps of one event between the same places. Ids are 0 for none, WAY_SEVERAL for different ones. */
struct way_row {
	struct slice event;        /* its word */
	int32_t form;              /* FORM_... as it was after it, or -1 */
	uint32_t from, place;      /* where it came from, and is after it; place: 0 once culled or sold */
	uint32_t what;             /* the tree, kiln, grade, handle lot, party or cause that goes with the event */
	int32_t first, last;       /* days */
	double share;              /* of the subject, at most 1; NAN where it is an opinion of other pieces of its lot */
	int64_t n;                 /* of opinions: how many */
	uint32_t by[WAY_PEOPLE];   /* by name */
	size_t nby;                /* one more than there is room for: others too */
	struct way_state before, after;
};

/* A stay, from the first day to the last; several stays in one place are one. */
struct way_place {
	uint32_t place;
	double in, in_days, out, out_days; /* shares, and shares times days */
	int32_t first, last;       /* the last is today's where some are still there */
	double days;               /* that a piece was there, to be expected */
	double emc_pct, emc_low_pct, emc_high_pct, emc_days; /* of the air in these days, NAN where it was not measured; known for so many days */
};

struct way {
	struct way_row *row;       /* by their first days, and of one day as one leads to the other, else by names */
	size_t n, cap;
	struct way_place *place;   /* in the order of their first days */
	size_t nplaces, places_cap;
};

/* Of the subject, with its ties. */
void way_find(struct way *w, struct trace *t, const struct ties *ties);
void way_release(struct way *w);

#endif
