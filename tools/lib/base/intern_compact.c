#include "base/intern_compact.h"

#include <stdlib.h>

/* Where a text begins is a block's number and 14 bits: texts begin at every fourth byte. */
enum { BLOCK = 64 * 1024, STEP = 4, STEP_BITS = 14, FIRST_TEXTS = 64, LONG = 255 };

void intern_compact_init(struct intern_compact *t)
{
	memset(t, 0, sizeof *t);
	t->at = mem_grow(NULL, &t->cap, FIRST_TEXTS, sizeof *t->at);
	t->at[t->n++] = 0;
}

void intern_compact_release(struct intern_compact *t)
{
	for (size_t i = 0; i < t->nblocks; i++)
		free(t->block[i]);
	free(t->block);
	free(t->at);
	hash_index_release(&t->index);
	memset(t, 0, sizeof *t);
}

struct slice intern_compact_text(const struct intern_compact *t, uint32_t id)
{
	const char *p;
	size_t n;

	if (!id)
		return SLICE("");
	p = t->block[t->at[id] >> STEP_BITS] + (size_t)(t->at[id] & ((1u << STEP_BITS) - 1)) * STEP;
	n = (unsigned char)*p++;
	if (n == LONG) {
		memcpy(&n, p, sizeof n);
		p += sizeof n;
	}
	return (struct slice){ p, n };
}

static void open_block(struct intern_compact *t, size_t need)
{
	t->block_cap = need > BLOCK ? need : BLOCK;
	t->block_n = 0;
	t->block = mem_grow(t->block, &t->blocks_cap, t->nblocks + 1, sizeof *t->block);
	t->block[t->nblocks++] = mem_array(t->block_cap, 1);
}

/* A copy of the text behind its length; returns where it is. */
static uint32_t keep(struct intern_compact *t, struct slice s)
{
	size_t need = 1 + (s.n >= LONG ? sizeof s.n : 0) + s.n;
	uint32_t at;
	char *p;

	if (!t->nblocks || t->block_n + need > t->block_cap || t->block_n >= BLOCK)
		open_block(t, need);
	at = (uint32_t)(t->nblocks - 1) << STEP_BITS | (uint32_t)(t->block_n / STEP);
	p = t->block[t->nblocks - 1] + t->block_n;
	*p++ = (char)(s.n >= LONG ? LONG : s.n);
	if (s.n >= LONG) {
		memcpy(p, &s.n, sizeof s.n);
		p += sizeof s.n;
	}
	memcpy(p, s.p, s.n);
	t->block_n += (need + STEP - 1) / STEP * STEP;
	return at;
}

/* The number of `s`, or 0 when it has none. */
static uint32_t find(const struct intern_compact *t, struct slice s, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&t->index, hash);

	while (hash_probe_next(&t->index, &p))
		if (slice_eq(intern_compact_text(t, p.row), s))
			return p.row;
	return 0;
}

uint32_t intern_compact_id(struct intern_compact *t, struct slice s)
{
	uint64_t hash;
	uint32_t id;

	if (!s.n)
		return 0;
	hash = slice_hash(s);
	id = find(t, s, hash);
	if (id)
		return id;
	t->at = mem_grow(t->at, &t->cap, t->n + 1u, sizeof *t->at);
	t->at[t->n] = keep(t, s);
	hash_index_add(&t->index, hash, t->n);
	return t->n++;
}

uint32_t intern_compact_find(const struct intern_compact *t, struct slice s)
{
	return s.n ? find(t, s, slice_hash(s)) : 0;
}
