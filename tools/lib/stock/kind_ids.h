/*
 * kind_ids.h - sorts of pieces (stock_kind) as small numbers, for those who keep something of each.
 *
 * Numbers count from 1 in the order of first meeting, those that were forgotten first, so nothing that is printed may be ordered by
 * them; 0 is "none", of no form. Memory: 40 bytes a sort.
 */
#ifndef WITHY_KIND_IDS_H
#define WITHY_KIND_IDS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock.h"

struct kind_ids {
	struct stock_kind *kind;   /* by number */
	uint32_t n;                /* how many, number 0 and forgotten ones included */
	uint32_t spare;            /* the last one that was forgotten; its lot is the one before */
	size_t cap;
	struct hash_index index;
	uint32_t last;             /* the number that was asked for last */
};

/* For those who keep sorts in a table of their own. Lots are mostly numbered in the order in which they come in, and move on in that order. */
static inline uint64_t kind_hash(const struct stock_kind *k)
{
	uint64_t sort = hash_mix(hash_pair(k->type, k->grade)) ^ hash_pair(k->class, k->party) * 0xff51afd7ed558ccdu;

	return hash_near(k->lot, sort + hash_pair(k->place, (uint32_t)k->form));
}

static inline bool kind_same(const struct stock_kind *a, const struct stock_kind *b)
{
	return a->lot == b->lot && a->place == b->place && a->type == b->type && a->grade == b->grade && a->class == b->class
		&& a->party == b->party && a->form == b->form;
}

void kind_ids_init(struct kind_ids *k);
void kind_ids_release(struct kind_ids *k);

/* The number of a sort, given to it now if it has none. */
uint32_t kind_ids_id(struct kind_ids *k, const struct stock_kind *kind);

/* Its number, or 0 when it was never met. */
uint32_t kind_ids_find(const struct kind_ids *k, const struct stock_kind *kind);

/* Takes a sort's number back: it is given to another sort later. */
void kind_ids_forget(struct kind_ids *k, uint32_t id);

/* Has what is needed for a sort's number brought near, for one that is looked up soon. */
void kind_ids_fetch(const struct kind_ids *k, const struct stock_kind *kind);

#endif
