#include "base/intern.h"

#include <stdlib.h>

enum { BLOCK = 64 * 1024 };

void intern_init(struct intern *t)
{
	memset(t, 0, sizeof *t);
	t->text = mem_grow(NULL, &t->cap, 64, sizeof *t->text);
	t->word = mem_grow(NULL, &t->words_cap, 64, sizeof *t->word);
	t->word[t->n] = 0;
	t->text[t->n++] = SLICE("");
}

void intern_release(struct intern *t)
{
	for (size_t i = 0; i < t->nblocks; i++)
		free(t->blocks[i]);
	free(t->blocks);
	hash_index_release(&t->index);
	free(t->text);
	free(t->word);
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

/* What intern_word() is of a short text; of a longer one a hash of all but its last byte, above any of those. */
static inline uint64_t word_of(struct slice s)
{
	return s.n > INTERN_SHORT ? slice_hash(slice_upto(s, s.n - 1)) | (uint64_t)0xff << 56 : intern_word(s);
}

/* The words of one time are few and come again and again: most are found where nothing has to be searched. */
static inline uint32_t *recent_of(struct intern *t, uint64_t word)
{
	return &t->recent[word * 0x9e3779b97f4a7c15u >> (64 - INTERN_RECENT_BITS)];
}

/*
 * Ids are mostly counted up, and those of one time are met together: four that differ in their last byte alone are put
 * next to each other, and no more, lest they get into each other's way.
 */
static inline uint64_t hash_of(uint64_t word, struct slice s)
{
	uint64_t last = (unsigned char)s.p[s.n - 1], rest = s.n > INTERN_SHORT ? word : word & ~((uint64_t)0xff << 8 * (s.n - 1));

	return hash_mix(rest * 31 + (last >> 2)) << 2 | (last & 3);
}

/* The number of `s`, whose word and hash are given; 0 when it has none. The text of a short one need not be looked at. */
static inline uint32_t find(const struct intern *t, struct slice s, uint64_t word, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&t->index, hash);

	while (hash_probe_next(&t->index, &p))
		if (t->word[p.row] == word && (s.n <= INTERN_SHORT || slice_eq(t->text[p.row], s)))
			return p.row;
	return 0;
}

/* The number of a text that has one or gets it now, and where it is noted. Apart, so that what comes before needs no stack. */
__attribute__((noinline)) static uint32_t find_or_add(struct intern *t, struct slice s, uint64_t word, uint32_t *note)
{
	uint64_t hash = hash_of(word, s);
	uint32_t id = find(t, s, word, hash);

	if (!id) {
		t->text = mem_grow(t->text, &t->cap, t->n + 1u, sizeof *t->text);
		t->text[t->n] = keep(t, s);
		t->word = mem_grow(t->word, &t->words_cap, t->n + 1u, sizeof *t->word);
		t->word[t->n] = word;
		hash_index_add(&t->index, hash, t->n);
		id = t->n++;
	}
	return *note = *recent_of(t, word) = id;
}

/* The same of a text that is not short. */
static uint32_t long_id(struct intern *t, struct slice s, uint32_t *note)
{
	uint64_t word = word_of(s);
	uint32_t recent = *recent_of(t, word);

	if (t->word[recent] == word && slice_eq(t->text[recent], s))
		return *note = recent;
	return find_or_add(t, s, word, note);
}

uint32_t intern_id(struct intern *t, struct slice s)
{
	uint64_t word;
	uint32_t *recent, id;

	if (s.n - 1 >= INTERN_SHORT)
		return s.n ? long_id(t, s, &id) : 0;
	word = intern_word(s);
	recent = recent_of(t, word);
	return t->word[*recent] == word ? *recent : find_or_add(t, s, word, recent);
}

uint32_t intern_memo_other(struct intern *t, uint32_t *memo, struct slice s)
{
	uint64_t word;
	uint32_t next = *memo + 1 < t->n ? *memo + 1 : 0, recent;

	if (s.n - 1 >= INTERN_SHORT) {
		if (!s.n)
			return *memo = 0;
		if (slice_eq(t->text[*memo], s))
			return *memo;
		return slice_eq(t->text[next], s) ? *memo = next : long_id(t, s, memo);
	}
	word = intern_word(s);
	if (t->word[next] == word)
		return *memo = next;
	recent = *recent_of(t, word);
	return t->word[recent] == word ? *memo = recent : find_or_add(t, s, word, memo);
}

uint32_t intern_find(const struct intern *t, struct slice s)
{
	uint64_t word = s.n ? word_of(s) : 0;

	return s.n ? find(t, s, word, hash_of(word, s)) : 0;
}
