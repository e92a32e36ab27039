/*
 * claims.h - what suppliers claimed (claimed= of `buy`) against what their lots were graded as.
 *
 * The house says which grade of the works each grade of a supplier promises at least (`promises`). A blade that was graded
 * keeps the best of these promises that its grade meets. One that meets none, or was culled at grading, counts
 * below all. Only first grades count. Pieces that were culled before the grading, are not yet graded, or went into a pool say nothing.
 *
 * If the claim is right, a graded piece meets a promise as often as the claim says. For each promise but the lowest the chance is
 * that of a binomial count at most as high; the worst one counts, times the number of promises looked at (Bonferroni). Of several lots
 * the claimed shares are weighted by the graded blades, which is on the safe side (Hoeffding 1956, Ann. Math. Statist. 27, 713).
 *
 * Beside its claim, each lot is compared with its supplier's other lots (odd_lots.h).
 */
#ifndef WITHY_CLAIMS_H
#define WITHY_CLAIMS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "grades/odd_lots.h"

struct house_claim;
struct line;
struct stock;
struct stock_flow;

enum { CLAIM_GRADES = 16 }; /* of one supplier; later ones count as the last */

/* A bought lot, or all lots of a supplier. */
struct claim_lot {
	struct slice supplier, lot;            /* lot: empty for all of the supplier's */
	uint32_t id;
	const struct house_claim *claim, *promise; /* of the house; NULL where it has none */
	bool unclaimed;                        /* some of its pieces were bought without claimed=, or of another supplier */
	int64_t claimed[CLAIM_GRADES], pieces; /* by the supplier's grade, and all of them */
	int64_t met[CLAIM_GRADES], below;      /* graded blades by the best promise that they meet, and below all */
	int64_t graded;
	double expected[CLAIM_GRADES];         /* of `graded`, if the claim is right */
	double worth_claimed, worth_met;       /* of the graded blades, by the worth of what each promise is at least; NAN unknown */
	int64_t price;                         /* of all pieces, in minor units of `currency` */
	int currency;                          /* an index, or -1: none, or several */
	double price_short;                    /* the part of the graded blades' price that their worth falls short by; NAN unknown */
	size_t lots;                           /* of a supplier: how many were graded */
	size_t worst;                          /* the promise at which it falls short most */
	double p;                              /* how likely chance alone explains that; NAN unknown */
	bool is_short;                         /* beyond chance, for all lots (or all suppliers) together (Bonferroni, 5 %) */
	bool by_lots;                          /* of a supplier: single lots are short, and the rest together is not */
};

struct claims {
	struct stock *stock;
	int32_t from, to;                      /* days of grading that count */
	struct claim_lot *lot;
	size_t n, cap;
	struct hash_index index;               /* of the lots, by id */
	struct claim_lot *supplier;            /* of these the totals, by name */
	size_t nsuppliers;
	size_t ungraded;                       /* lots with a claim of which no blade was graded */
	size_t unclaimed;                      /* lots that have pieces without a claim, and are left out */
	struct odd_lots odd;
	int64_t strange;                       /* blades whose scheme lacks a promised grade, or their own */
};

/* The engine must have a house, and last as long as the claims. */
void claims_init(struct claims *c, struct stock *s, int32_t from, int32_t to);
void claims_release(struct claims *c);

void claims_take(void *context, const struct line *l);           /* a book_line */
void claims_flow(void *context, const struct stock_flow *f);     /* a stock_sink */

/* When all lines and flows are in: lots in the order of suppliers and of names, those without a graded blade left out. */
void claims_end(struct claims *c);

/* The lot of an id, or NULL; after claims_end only graded ones. */
static inline const struct claim_lot *claims_lot(const struct claims *c, uint32_t id)
{
	struct hash_probe p = hash_probe_of(&c->index, hash_near(id, 0));

	while (hash_probe_next(&c->index, &p))
		if (c->lot[p.row].id == id)
			return &c->lot[p.row];
	return NULL;
}

/* How many blades were expected, and how many were found, to meet the promise or a better one. */
double claim_expected(const struct claim_lot *lot, size_t promise);
int64_t claim_met(const struct claim_lot *lot, size_t promise);

#endif
