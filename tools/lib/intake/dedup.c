#include "intake/dedup.h"

#include <stdlib.h>

#include "base/mem.h"

enum { FIRST_CAP = 1024 }; /* slots, a power of two */

/* 2^64 over the golden ratio: a product with it spreads keys (Knuth, volume 3, 6.4). */
#define HASH_FACTOR UINT64_C(0x9e3779b97f4a7c15)

static const int64_t YEAR_1_S = 100000000000; /* more than the seconds from year 0001 to 1970 */

void dedup_release(struct dedup *s)
{
	free(s->key);
	free(s->value);
	*s = (struct dedup){ 0 };
}

/* Never 0, which marks a free slot. */
static uint64_t key_of(uint32_t series, int64_t t_s)
{
	return (uint64_t)(t_s + YEAR_1_S) << 16 | (series + 1);
}

static size_t slot_of(const struct dedup *s, uint64_t key)
{
	uint64_t h = key * HASH_FACTOR;
	size_t i;

	h ^= h >> 32;
	for (i = (size_t)h & (s->cap - 1); s->key[i] && s->key[i] != key; i = (i + 1) & (s->cap - 1))
		;
	return i;
}

static void grow(struct dedup *s)
{
	struct dedup old = *s;

	s->cap = old.cap ? old.cap * 2 : FIRST_CAP;
	s->key = mem_zeroed(s->cap, sizeof *s->key);
	s->value = mem_array(s->cap, sizeof *s->value);
	for (size_t i = 0; i < old.cap; i++)
		if (old.key[i]) {
			size_t at = slot_of(s, old.key[i]);

			s->key[at] = old.key[i];
			s->value[at] = old.value[i];
		}
	free(old.key);
	free(old.value);
}

enum seen_how dedup_add(struct dedup *s, uint32_t series, int64_t t_s, uint64_t value_hash)
{
	uint64_t key = key_of(series, t_s);
	size_t at;

	if (s->n >= s->cap / 4 * 3)
		grow(s);
	at = slot_of(s, key);
	if (s->key[at])
		return s->value[at] == (uint32_t)value_hash ? DEDUP_SAME : DEDUP_UNLIKE;
	s->key[at] = key;
	s->value[at] = (uint32_t)value_hash;
	s->n++;
	return DEDUP_NEW;
}

enum seen_how dedup_find(const struct dedup *s, uint32_t series, int64_t t_s, uint64_t value_hash)
{
	uint64_t key = key_of(series, t_s);
	size_t at;

	if (!s->n)
		return DEDUP_NEW;
	at = slot_of(s, key);
	if (!s->key[at])
		return DEDUP_NEW;
	return s->value[at] == (uint32_t)value_hash ? DEDUP_SAME : DEDUP_UNLIKE;
}
