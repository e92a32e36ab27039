#include "base/intern.h"

#include <stdlib.h>

enum { BLOCK = 64 * 1024, SHORT = 8 };

void intern_init(struct intern *t)
{
	memset(t, 0, sizeof *t);
	t->text = mem_grow(NULL, &t->cap, 64, sizeof *t->text);
	t->text[t->n++] = SLICE("");
}

void intern_release(struct intern *t)
{
	for (size_t i = 0; i < t->nblocks; i++)
		free(t->blocks[i]);
	free(t->blocks);
	hash_index_release(&t->index);
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

/* The bytes of a short text, which with their number are the text; of a longer one a hash, with its last byte at the end. */
static inline uint64_t word_of(struct slice s)
{
	uint32_t low, high;

	if (s.n > SHORT)
		return slice_hash(slice_upto(s, s.n - 1)) << 3 | (unsigned char)(s.p[s.n - 1] & 7);
	if (s.n < 4)
		return (uint64_t)(unsigned char)s.p[0] | (uint64_t)(unsigned char)s.p[s.n / 2] << 8 |
			(uint64_t)(unsigned char)s.p[s.n - 1] << 16;
	memcpy(&low, s.p, 4);
	memcpy(&high, s.p + s.n - 4, 4);
	return (uint64_t)high << 32 | low;
}

/*
 * Ids are mostly counted up, and those of one time are met together: words that differ in their last
 * byte alone are put near each other.
 */
static inline uint64_t hash_of(uint64_t word, size_t n)
{
	uint64_t last = n > SHORT ? word & 7 : n < 4 ? word >> 16 & 7 : word >> 56 & 7;
	uint64_t rest = n > SHORT ? word >> 3 : n < 4 ? word & 0xffff : word & 0x00ffffffffffffffu;

	rest = (rest ^ rest >> 32 ^ n) * 0x9e3779b97f4a7c15u;
	return (rest ^ rest >> 32) << 3 | last;
}

/* The number of `s`, whose word and hash are given; 0 when it has none. */
static inline uint32_t find(const struct intern *t, struct slice s, uint64_t word, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&t->index, hash);

	while (hash_probe_next(&t->index, &p)) {
		struct slice text = t->text[p.row];

		if (text.n == s.n && (s.n <= SHORT ? word_of(text) == word : slice_eq(text, s)))
			return p.row;
	}
	return 0;
}

uint32_t intern_id(struct intern *t, struct slice s)
{
	uint64_t word, hash;
	uint32_t id;

	if (!s.n)
		return 0;
	word = word_of(s);
	hash = hash_of(word, s.n);
	id = find(t, s, word, hash);
	if (id)
		return id;
	t->text = mem_grow(t->text, &t->cap, t->n + 1u, sizeof *t->text);
	t->text[t->n] = keep(t, s);
	hash_index_add(&t->index, hash, t->n);
	return t->n++;
}

uint32_t intern_find(const struct intern *t, struct slice s)
{
	uint64_t word = s.n ? word_of(s) : 0;

	return s.n ? find(t, s, word, hash_of(word, s.n)) : 0;
}
