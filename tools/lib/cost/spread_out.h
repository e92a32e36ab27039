/*
 * spread_out.h - puts the entries of a book on the pieces that they are for.
 *
 * An entry waits until its day, and until all pieces of its subject have come in (a tree, a parcel, a lot), have
 * come out (a charge) or its period is over (a kiln, a place). Then it is put on the pieces wherever they are
 * by that day, the sold ones among them:
 *
 *	tree, parcel   the pieces of the lots cleft from it; of a lot from several trees, each piece its part
 *	lot, bat       its pieces
 *	pool           the pieces that are in it, and those that it was found to have more
 *	charge         the pieces that were in it
 *	kiln           those of its charges, by what happened in the period
 *	place          the pieces that were there in the period
 *
 * by piece, by piece and day there, or by piece and worth of its grade (an ungraded one as the mean of the
 * others). Pieces of these that were culled before have no part: theirs is a loss that the others carry. Of a
 * period that is not over, only the days that are gone are put on pieces.
 */
#ifndef WITHY_SPREAD_OUT_H
#define WITHY_SPREAD_OUT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cost/holdings.h"
#include "cost/money.h"

struct cost_entry;
struct layer_facts;

/* Pieces, and days of pieces, that were at the place of an entry in its time. */
struct spread_stay {
	uint32_t entry, base;      /* a cohort */
	uint32_t next;             /* of the entry: index + 1 */
	int64_t pieces, days;
};

/* So much of an entry was put on pieces of a cohort. */
struct spread_record {
	uint32_t entry, base;
	int64_t amount;
};

struct spread_out {
	struct holdings *h;
	struct cost_book *book;
	bool recording;            /* the caller's to set after spread_out_init(): the records are kept */
	int64_t *lost;             /* by element, for what no piece is left to carry */
	int64_t *rest;             /* of each entry: what still waits */
	uint32_t *order;           /* entries by the day on which they are put on their pieces */
	struct spread_window *window; /* of the entries of each place and charge */
	struct spread_windows {
		uint32_t first, n;
		uint32_t begun;    /* how many begin on the day of the last stay that ended there, or before */
	} *windows_at;             /* by the first entry of a place: which are its */
	size_t booked, applied;    /* how many were */
	struct spread_stay *stay;
	size_t nstays, stays_cap;
	struct hash_index stays;
	uint32_t *stays_at;        /* the first of each entry: index + 1 */
	struct spread_record *record;
	size_t nrecords, records_cap;
	struct spread_target *target;
	size_t ntargets, targets_cap;
	struct spread_run *run;    /* of the targets */
	size_t nruns, runs_cap;
	int64_t *worth;            /* of the targets, where it counts */
	size_t worths_cap;
	struct spread_row *row;
	size_t nrows, rows_cap;
	uint32_t *stay_of;         /* by cohort: its place in a list of stays in the making, + 1 */
	size_t stay_of_cap;
	int64_t *small;            /* the weights of the targets, */
	int128 *weight;            /* where one is beyond MONEY_SMALL, */
	bool vast;                 /* which is so now, */
	int64_t *share;            /* and what each gets */
	size_t small_cap, weights_cap, shares_cap;
	struct money_room room;
};

/* `lost` has an amount for each element. */
void spread_out_init(struct spread_out *s, struct holdings *h, struct cost_book *book, int64_t *lost);
void spread_out_release(struct spread_out *s);

/* Pieces leave a place on a day. */
void spread_out_leave(struct spread_out *s, const struct layer_facts *is, uint32_t place, int64_t n, int32_t day);

/* The earliest day on which an entry is booked or put on pieces; INT32_MAX: no more. */
int32_t spread_out_next(const struct spread_out *s);

/* Books and puts on pieces what is due on that day or before. */
void spread_out_day(struct spread_out *s, int32_t day, int32_t today);

/* At the end: tries those again that found no piece. */
void spread_out_rest(struct spread_out *s, int32_t today);

#endif
