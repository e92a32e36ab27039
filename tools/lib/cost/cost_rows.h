/*
 * cost_rows.h - layers of pieces with their money, summed to rows by the keys that are asked for.
 */
#ifndef WITHY_COST_ROWS_H
#define WITHY_COST_ROWS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cost/costing.h"

struct cost_row {
	struct slice key[COST_KEYS];   /* in the order of `by` */
	int rank[COST_KEYS];           /* to sort by, before the key */
	int64_t n, mixed, bare;        /* pieces; of a pool or a lot of several origins; blades whose wood has no price, left out of n; in stock, pieces without any cost */
	int64_t own[COST_USES], loss;  /* money: spent on them, taken over from culled ones */
};

struct cost_rows {
	struct cost_row *row;          /* sorted by keys */
	size_t n, cap;
	struct cost_row all;           /* their sum */
	struct hash_index index;       /* of the rows while they are added up; not in their order */
};

enum cost_what { COST_OF_BLADES, COST_OF_STOCK };

/* Of usable blades, graded and not culled, in bats and sold ones among them, without their handles; or of all pieces in stock. */
void cost_rows_init(struct cost_rows *r, const struct costing *c, enum cost_what what);
void cost_rows_release(struct cost_rows *r);

/* All money of a row. */
int64_t cost_row_sum(const struct cost_row *row);

#endif
