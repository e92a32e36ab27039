/*
 * charge_content.h - what a charge holds of each lot and type, and of which of it a probed piece can be one.
 *
 * A part is the pieces of one lot and type in one charge; each lot has one more there, of type 0, for
 * all its pieces, where somebody asks for it. Pieces that are pooled go on in another part of the charge, and a probe that was in
 * one of them may now be in either. A part is live while it has pieces, or pieces of it went on into
 * a part that is live. Parts that may have lost a probe's piece are put in a list, so that nobody
 * needs to look at all of them.
 */
#ifndef WITHY_CHARGE_CONTENT_H
#define WITHY_CHARGE_CONTENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock.h"

struct part_way;
struct stock_op;

struct charge_part {                      /* 72 bytes: there is one for all that was ever in a kiln */
	uint32_t charge, lot, type;
	int32_t day;               /* the last day on which it changed; INT32_MIN: never */
	int64_t n;
	const struct stock_op *unload; /* the last unload that took of it, or of where it went on: valid on its day alone */
	int32_t unloaded;          /* its day */
	uint32_t live;             /* how many of its ways on lead to a live part */
	uint32_t out, in;          /* its last way on, and its last way here: index + 1 */
	uint32_t out_live;         /* a way on; no later one leads to a live part: index + 1 */
	uint32_t series;           /* for the caller; 0 at first */
	uint32_t whole;            /* the part of all types of its lot: index; itself where there is none, or it is that */
	uint32_t turn;             /* of the unload: later ones have more */
	bool listed;
};

struct charge_content {
	struct charge_part *part;
	size_t n, cap;
	bool wholes;               /* whether parts of all types are kept: some probe is in a piece of any type */
	struct hash_index index;   /* of the parts, by charge, lot and type */
	struct part_way *way;      /* index + 1 is its number */
	size_t nways, ways_cap;
	uint32_t *stack;
	size_t stack_cap;
	uint32_t *listed;          /* parts whose pieces, or the live ones among their ways on, got fewer */
	size_t nlisted, listed_cap;
	uint32_t turns;
};

/* Set `wholes` before the first part is made. */
void charge_content_init(struct charge_content *p);
void charge_content_release(struct charge_content *p);

#define CHARGE_CONTENT_NONE UINT32_MAX

/* The part's index, or CHARGE_CONTENT_NONE; or it is made. */
uint32_t charge_content_find(const struct charge_content *p, uint32_t charge, uint32_t lot, uint32_t type);
uint32_t charge_content_at(struct charge_content *p, uint32_t charge, uint32_t lot, uint32_t type);

/* `op` brings `by` pieces, or takes them; not more than there are. The lot's part of all types changes with it. */
void charge_content_change(struct charge_content *p, uint32_t at, const struct stock_op *op, int64_t by);

/* Some pieces went on from one part into another that day. */
void charge_content_pool(struct charge_content *p, uint32_t from, uint32_t to, int32_t day);

/*
 * A probe that was put into a piece of the part after this day is no longer in a piece of the charge.
 * INT32_MAX when there are pieces, else the last day on which some went on that are live, or INT32_MIN.
 */
int32_t charge_content_until(struct charge_content *p, uint32_t at);

/* Forgets the list. */
void charge_content_judged(struct charge_content *p);

#endif
