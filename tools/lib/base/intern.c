#include "base/intern.h"

#include <stdlib.h>

#include "base/mem.h"

enum { BLOCK = 64 * 1024, FIRST_SLOTS = 256, SHORT = 8 };

void intern_init(struct intern *t)
{
	memset(t, 0, sizeof *t);
	t->slots = FIRST_SLOTS;
	t->slot = mem_table(t->slots, sizeof *t->slot);
	t->text = mem_grow(NULL, &t->cap, 64, sizeof *t->text);
	t->text[t->n++] = SLICE("");
}

void intern_release(struct intern *t)
{
	for (size_t i = 0; i < t->nblocks; i++)
		free(t->blocks[i]);
	free(t->blocks);
	free(t->slot);
	free(t->text);
	memset(t, 0, sizeof *t);
}

/* A copy of the text in a block that never moves. */
static struct slice keep(struct intern *t, struct slice s)
{
	char *p;

	if (t->block_n + s.n > t->block_cap) {
		t->block_cap = s.n > BLOCK ? s.n : BLOCK;
		t->block = mem_array(t->block_cap, 1);
		t->block_n = 0;
		t->blocks = mem_grow(t->blocks, &t->blocks_cap, t->nblocks + 1, sizeof *t->blocks);
		t->blocks[t->nblocks++] = t->block;
	}
	p = t->block + t->block_n;
	memcpy(p, s.p, s.n);
	t->block_n += s.n;
	return (struct slice){ p, s.n };
}

static uint64_t word_of(struct slice s)
{
	uint32_t low, high;

	if (s.n > SHORT)
		return slice_hash(s);
	if (s.n < 4)
		return (uint64_t)(unsigned char)s.p[0] | (uint64_t)(unsigned char)s.p[s.n / 2] << 8 |
			(uint64_t)(unsigned char)s.p[s.n - 1] << 16;
	memcpy(&low, s.p, 4);
	memcpy(&high, s.p + s.n - 4, 4);
	return (uint64_t)high << 32 | low;
}

/*
 * Where a word belongs. Ids are mostly counted up, and those of one time are met together: words
 * that differ in their last byte alone stand near each other.
 */
static size_t place_of(const struct intern *t, uint64_t word, uint32_t n)
{
	uint64_t last = n > SHORT ? word & 7 : n < 4 ? word >> 16 & 7 : word >> 56 & 7;
	uint64_t rest = n > SHORT ? word >> 3 : n < 4 ? word & 0xffff : word & 0x00ffffffffffffffu;

	rest = (rest ^ rest >> 32 ^ n) * 0x9e3779b97f4a7c15u;
	rest ^= rest >> 32;
	return (size_t)(rest << 3 | last) & (t->slots - 1);
}

static bool holds(const struct intern *t, const struct intern_slot *slot, uint64_t word, struct slice s)
{
	return slot->word == word && slot->n == (uint32_t)s.n && (s.n <= SHORT || slice_eq(t->text[slot->id], s));
}

/* The slot that holds `s`, whose word is given, or the free one where it belongs. */
static struct intern_slot *slot_of(const struct intern *t, uint64_t word, struct slice s)
{
	size_t at = place_of(t, word, (uint32_t)s.n);

	while (t->slot[at].id && !holds(t, &t->slot[at], word, s))
		at = (at + 1) & (t->slots - 1);
	return &t->slot[at];
}

static void widen(struct intern *t)
{
	struct intern_slot *old = t->slot;
	size_t slots = t->slots;

	t->slots *= 2;
	t->slot = mem_table(t->slots, sizeof *t->slot);
	for (size_t i = 0; i < slots; i++) {
		size_t at = place_of(t, old[i].word, old[i].n);

		while (old[i].id && t->slot[at].id)
			at = (at + 1) & (t->slots - 1);
		if (old[i].id)
			t->slot[at] = old[i];
	}
	free(old);
}

uint32_t intern_id(struct intern *t, struct slice s)
{
	struct intern_slot *slot;
	uint64_t word;

	if (!s.n)
		return 0;
	word = word_of(s);
	slot = slot_of(t, word, s);
	if (slot->id)
		return slot->id;
	t->text = mem_grow(t->text, &t->cap, t->n + 1u, sizeof *t->text);
	t->text[t->n] = keep(t, s);
	*slot = (struct intern_slot){ word, t->n++, (uint32_t)s.n };
	if (t->n * 2u > t->slots)
		widen(t);
	return t->n - 1;
}

uint32_t intern_find(const struct intern *t, struct slice s)
{
	return s.n ? slot_of(t, word_of(s), s)->id : 0;
}
