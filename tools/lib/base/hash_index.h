/*
 * hash_index.h - which row of an array has a key: the one hash table of the library.
 *
 * The caller keeps its rows in an array of its own, in whichever shape suits it, and hashes and
 * compares its keys itself. The index only goes from a hash to the numbers of the rows that may have
 * the key. It is open-addressed with linear probing. A slot is 8 bytes: the row's number and the low
 * 32 bits of its hash, so that a row of another key is seldom looked at, and never when the table grows.
 *
 *	struct hash_probe p = hash_probe_of(&t->index, hash);
 *
 *	while (hash_probe_next(&t->index, &p))
 *		if (t->row[p.row].key == key)
 *			return p.row;
 *	hash_index_add(&t->index, hash, new_row(t, key));
 *
 * The low bits of a hash decide where it goes, so they must be well mixed (hash_mix()), or be next to
 * each other for keys that are looked up together (hash_near()). An index that is all zero is empty.
 */
#ifndef WITHY_HASH_INDEX_H
#define WITHY_HASH_INDEX_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct hash_slot {
	uint32_t tag;      /* the low 32 bits of the hash */
	uint32_t row;      /* the row's number + 1; 0: free */
};

struct hash_index {
	struct hash_slot *slot;
	size_t mask;       /* slots - 1; they are a power of two */
	size_t n, most;    /* rows, and how many there may be before it grows */
};

void hash_index_release(struct hash_index *x);

/* Forgets all rows; the space is kept. */
void hash_index_clear(struct hash_index *x);

/* Makes space for `rows` in all, so that it does not grow on the way there. */
void hash_index_expect(struct hash_index *x, size_t rows);

/* Puts in a row (below 2^32 - 1), of whose key there is none yet. */
void hash_index_add(struct hash_index *x, uint64_t hash, uint32_t row);

/* Takes a row out that was put in with this hash; nothing is left in its place, so that probes stay short. */
void hash_index_remove(struct hash_index *x, uint64_t hash, uint32_t row);

/* Goes through the rows whose hash is like one. */
struct hash_probe {
	size_t at;
	uint32_t tag;
	uint32_t row;      /* of the last step */
};

static inline struct hash_probe hash_probe_of(const struct hash_index *x, uint64_t hash)
{
	return (struct hash_probe){ (uint32_t)hash & x->mask, (uint32_t)hash, 0 };
}

/* Sets p->row to the next row that may have the key; false when there are no more. */
static inline bool hash_probe_next(const struct hash_index *x, struct hash_probe *p)
{
	struct hash_slot slot;

	if (!x->slot)
		return false;
	do {
		slot = x->slot[p->at];
		p->at = (p->at + 1) & x->mask;
	} while (slot.row && slot.tag != p->tag);
	p->row = slot.row - 1;
	return slot.row != 0;
}

/* Has the slots of a hash brought near, for a key that is looked up soon. gcc drops the call of a function that only does this. */
__attribute__((always_inline)) static inline void hash_index_fetch(const struct hash_index *x, uint64_t hash)
{
	if (x->slot)
		__builtin_prefetch(&x->slot[(uint32_t)hash & x->mask]);
}

/* A hash of one word: every bit of it counts in every bit. The same on every machine. */
static inline uint64_t hash_mix(uint64_t word)
{
	word = (word ^ word >> 31) * 0x9e3779b97f4a7c15u;
	word = (word ^ word >> 29) * 0xbf58476d1ce4e5b9u;
	return word ^ word >> 32;
}

/* Two numbers as one word. */
static inline uint64_t hash_pair(uint32_t a, uint32_t b)
{
	return (uint64_t)a << 32 | b;
}

/*
 * A hash of a number and of what goes with it that keeps eight numbers in a row next to each other, in
 * one line of the cache: for numbers that are given out in the order in which they are looked up later.
 */
static inline uint64_t hash_near(uint32_t number, uint64_t with)
{
	return hash_mix(with * 0xff51afd7ed558ccdu ^ number >> 3) << 3 | (number & 7);
}

#endif
