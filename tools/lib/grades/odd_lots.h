/*
 * odd_lots.h - bought lots that were graded unlike the other lots of their supplier, and whose lots they are like.
 *
 * First grades count, and the blades culled at grading, under one scheme (as joined by `former`). A lot is compared with its supplier's other lots together
 * (mix_shift.h), of which there must be two. How much lots of one supplier differ anyway is found from those others (spread.h, lots_alike.h),
 * without the lot itself. A lot is odd if its p, times the number of lots that are compared (Bonferroni), is under 5 %. The oddest is found first, and
 * then no longer one of the others, so that it does not hide what they are like.
 *
 * An odd lot is like another supplier's lots if the blades that got a grade do not differ from theirs; of several such suppliers, from whose
 * they differ least. Culls are left out of this, because they have causes of their own.
 */
#ifndef WITHY_ODD_LOTS_H
#define WITHY_ODD_LOTS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "house/house.h"

struct claims;
struct stock;
struct stock_flow;

enum { ODD_GRADES = 64 };         /* of a scheme, culled included; later ones count as the last but one */

/* The blades of one lot that were graded under one scheme, by rank; the last that is used: culled. */
struct odd_lot {
	uint32_t id;
	const struct house_scheme *scheme;
	struct slice supplier, lot;
	int64_t count[ODD_GRADES], graded;
	int64_t other[ODD_GRADES], others; /* the same of the supplier's other lots, odd ones left out */
	double p, adjusted;            /* NAN where the supplier has fewer than two other lots under the scheme */
	size_t grade;                  /* the rank at which it differs most */
	double residual;               /* above 0: the lot has more of it */
	bool is_odd;
	struct slice like;             /* the other supplier whose lots it is like, or empty */
	double like_p;
};

struct odd_lots {
	const struct stock *stock;
	int32_t from, to, end;
	struct odd_lot *lot;           /* by supplier, lot and scheme */
	size_t n, cap;
	struct hash_index index;       /* while flows come in, by id and scheme */
};

/* The engine must have a house and last as long. */
void odd_lots_init(struct odd_lots *o, const struct stock *s, int32_t from, int32_t to);
void odd_lots_release(struct odd_lots *o);

void odd_lots_flow(void *context, const struct stock_flow *f);   /* a stock_sink */

/* When all flows are in, with the suppliers of the lots that have a claim; other lots are forgotten. */
void odd_lots_end(struct odd_lots *o, const struct claims *c);

/* How many different outcomes a lot has: its scheme's grades, and culled. */
size_t odd_lot_kinds(const struct odd_lot *lot);

#endif
