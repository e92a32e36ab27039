#include "base/hash_index.h"

#include <stdlib.h>

#include "base/mem.h"

enum { FIRST_SLOTS = 64 };

/* Three slots in four at the most are taken: beyond that probes get long. */
static size_t most_of(size_t slots)
{
	return slots / 4 * 3;
}

void hash_index_release(struct hash_index *x)
{
	free(x->slot);
	*x = (struct hash_index){ 0 };
}

void hash_index_clear(struct hash_index *x)
{
	if (x->n)
		memset(x->slot, 0, (x->mask + 1) * sizeof *x->slot);
	x->n = 0;
}

static void put(struct hash_index *x, struct hash_slot slot)
{
	size_t at = slot.tag & x->mask;

	while (x->slot[at].row)
		at = (at + 1) & x->mask;
	x->slot[at] = slot;
}

/* The tags say where the rows belong, so that they are not looked at. */
static void widen(struct hash_index *x, size_t slots)
{
	struct hash_slot *old = x->slot;
	size_t had = old ? x->mask + 1 : 0;

	x->slot = mem_table(slots, sizeof *x->slot);
	x->mask = slots - 1;
	x->most = most_of(slots);
	for (size_t i = 0; i < had; i++)
		if (old[i].row)
			put(x, old[i]);
	free(old);
}

void hash_index_expect(struct hash_index *x, size_t rows)
{
	size_t slots = FIRST_SLOTS;

	while (most_of(slots) < rows)
		slots *= 2;
	if (most_of(slots) > x->most)
		widen(x, slots);
}

void hash_index_add(struct hash_index *x, uint64_t hash, uint32_t row)
{
	if (x->n >= x->most)
		widen(x, x->slot ? (x->mask + 1) * 2 : FIRST_SLOTS);
	put(x, (struct hash_slot){ (uint32_t)hash, row + 1 });
	x->n++;
}

/* Moves back the slots behind a hole, each if it may be there: not before the place where it belongs. */
static void close_hole(struct hash_index *x, size_t hole)
{
	for (size_t at = (hole + 1) & x->mask; x->slot[at].row; at = (at + 1) & x->mask) {
		size_t from_home = (at - x->slot[at].tag) & x->mask, from_hole = (at - hole) & x->mask;

		if (from_home < from_hole)
			continue;
		x->slot[hole] = x->slot[at];
		hole = at;
	}
	x->slot[hole] = (struct hash_slot){ 0, 0 };
}

void hash_index_remove(struct hash_index *x, uint64_t hash, uint32_t row)
{
	size_t at = (uint32_t)hash & x->mask;

	if (!x->slot)
		return;
	while (x->slot[at].row && x->slot[at].row != row + 1)
		at = (at + 1) & x->mask;
	if (!x->slot[at].row)
		return;
	close_hole(x, at);
	x->n--;
}
