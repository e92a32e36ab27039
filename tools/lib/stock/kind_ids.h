/*
 * kind_ids.h - sorts of pieces (stock_kind) as small numbers, for those who keep something of each.
 *
 * Numbers count from 1 in the order of first meeting, so nothing that is printed may be ordered by them; 0 is
 * "none", of no form. Memory: 40 bytes a sort.
 */
#ifndef WITHY_KIND_IDS_H
#define WITHY_KIND_IDS_H

#include <stddef.h>
#include <stdint.h>

#include "stock/stock.h"

struct kind_ids {
	struct stock_kind *kind;   /* by number */
	uint32_t n;                /* how many, number 0 included */
	size_t cap;
	struct hash_index index;
	uint32_t last;             /* the number that was asked for last */
};

void kind_ids_init(struct kind_ids *k);
void kind_ids_release(struct kind_ids *k);

/* The number of a sort, given to it now if it has none. */
uint32_t kind_ids_id(struct kind_ids *k, const struct stock_kind *kind);

/* Its number, or 0 when it was never met. */
uint32_t kind_ids_find(const struct kind_ids *k, const struct stock_kind *kind);

/* Has what is needed for a sort's number brought near, for one that is looked up soon. */
void kind_ids_fetch(const struct kind_ids *k, const struct stock_kind *kind);

#endif
