/*
 * spill_sort.h - puts records in order in bounded memory.
 *
 *	struct spill_sort s = { .order = by_day };
 *
 *	memcpy(spill_sort_add(&s, sizeof row), &row, sizeof row);   for each record
 *	while ((row = spill_sort_next(&s)))
 *		...
 *	spill_sort_release(&s);
 *
 * Records may have any length below 2^32, and are aligned to 8 bytes. Those that the order does not tell apart come in the
 * order in which they were added. Some megabytes are in memory. More of them are sorted by the part, the parts are in a
 * file (spill.h), and are merged as they are read.
 */
#ifndef WITHY_SPILL_SORT_H
#define WITHY_SPILL_SORT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/spill.h"

struct spill_part;

struct spill_sort {
	int (*order)(const void *a, const void *b);
	size_t most;               /* bytes to sort in memory; 0: SPILL_HELD */
	unsigned char *held;       /* the records of the part in hand, each after its length */
	size_t n, cap;
	size_t *row;               /* where each is */
	size_t nrows, rows_cap, next;
	struct spill sorted;       /* parts that are in order, one after the other */
	struct spill_part *part;
	size_t nparts, parts_cap;
	uint32_t *heap;            /* the parts that have records left; the first of them has the next record */
	size_t nheap;
	bool merging, taken;       /* taken: that record was given out */
};

/* Space for a record of `n` bytes, which the caller fills before the next call. */
void *spill_sort_add(struct spill_sort *s, size_t n);

/* The next record, from the first on, once all are added; NULL at the end. Valid until the next call. */
const void *spill_sort_next(struct spill_sort *s);

void spill_sort_release(struct spill_sort *s);

#endif
