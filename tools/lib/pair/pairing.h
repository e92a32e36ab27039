/*
 * pairing.h - which handle goes into which blade: as many pairs as the limits allow, with the least total cost; who is left over,
 * why, and what would help.
 *
 * A pair must fit by the handle's type, be no further apart in moisture than the house's limit, open by no more than its limit
 * when the handle comes to the moisture of the blade, and have a sum of masses in the range, where one is asked for. For an order of bats of
 * a mass it must be able to land in that (pair_forecast.h). The cost
 * of a pair is the square of its difference in moisture, in steps of 0.1 points: a meter shows no less, and two pairs at
 * 0.4 points are better than one at 0 and one at 0.8. Of equal totals, that counts in which the sums of masses are nearer to the middle of the range, added up; then that with fewer pieces to fetch to the shop. Of equal ones still, the
 * order of the bench decides. For an order of bats of a mass that is best of which most bats are to be
 * expected to land, before moisture.
 */
#ifndef WITHY_PAIRING_H
#define WITHY_PAIRING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "pair/bench.h"
#include "pair/pair_forecast.h"
#include "pair/pair_limits.h"

struct pair {
	size_t blade, handle;      /* rows of the bench */
	int64_t n;
};

/* Why a piece is left over. */
enum left_why {
	LEFT_NO_FAULT,
	LEFT_BENCH,                /* it is not good: see its row */
	LEFT_SPARE,                /* it would do, and none was left for it */
	LEFT_ENOUGH,               /* of blades: it would do, and no more are asked for */
	LEFT_NO_OTHER,             /* there is nothing to pair it with: no good piece on the other side */
	LEFT_NO_FIT,               /* no type on the other side fits it */
	LEFT_UNREAD,               /* some types do, and none of those pieces has a good reading */
	LEFT_APART, LEFT_GAP,      /* the nearest that fits is too far in moisture; opens too far */
	LEFT_NO_MASS, LEFT_MASS,   /* a mass is not known; the sum is out of the range */
	LEFT_LANDS                 /* as a bat it will not have the mass of the order */
};

struct pair_left {
	enum pair_part part;
	size_t row;                /* of the bench */
	int64_t n;
	enum left_why why;
	size_t nearest;            /* of APART, GAP, LANDS and the masses: the row of the other side; else SIZE_MAX */
	int rest_days;             /* of APART and GAP: until the two may go together, if the air stays as it is; -1: never in a year */
};

struct pairing {
	const struct bench *bench;
	struct pair_limits limits;
	const struct pair_forecast *forecast; /* of an order for a mass, or NULL */
	struct pair *pair;
	size_t npairs;
	struct pair_left *left;    /* blades first, each in the order of the bench */
	size_t nleft, left_cap;
	int64_t pairs;             /* of all rows */
};

/* Rows of blades times rows of handles beyond which memory would not do: 24 bytes each. */
enum { PAIRING_MOST = 1 << 24 };

/* `forecast` may be NULL. False, and nothing found, for a larger bench. */
bool pairing_find(struct pairing *p, const struct bench *bench, struct pair_limits limits, const struct pair_forecast *forecast);
void pairing_release(struct pairing *p);

/* How much wetter a handle is than a blade, in points. */
double pair_apart_pct(const struct bench *b, size_t blade, size_t handle);

#endif
