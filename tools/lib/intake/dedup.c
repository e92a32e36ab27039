#include "intake/dedup.h"

#include <stdlib.h>

#include "base/mem.h"

static const int64_t YEAR_1_S = 100000000000; /* more than the seconds from year 0001 to 1970 */

void dedup_release(struct dedup *s)
{
	free(s->key);
	free(s->value);
	hash_index_release(&s->index);
	*s = (struct dedup){ 0 };
}

static uint64_t key_of(uint32_t series, int64_t t_s)
{
	return (uint64_t)(t_s + YEAR_1_S) << 16 | series;
}

/* How the value is to that of the reading of the key, if there is one. */
static enum seen_how find(const struct dedup *s, uint64_t key, uint64_t hash, uint64_t value_hash)
{
	struct hash_probe p = hash_probe_of(&s->index, hash);

	while (hash_probe_next(&s->index, &p))
		if (s->key[p.row] == key)
			return s->value[p.row] == (uint32_t)value_hash ? DEDUP_SAME : DEDUP_UNLIKE;
	return DEDUP_NEW;
}

enum seen_how dedup_add(struct dedup *s, uint32_t series, int64_t t_s, uint64_t value_hash)
{
	uint64_t key = key_of(series, t_s), hash = hash_mix(key);
	enum seen_how how = find(s, key, hash, value_hash);

	if (how != DEDUP_NEW)
		return how;
	s->key = mem_grow(s->key, &s->keys_cap, s->n + 1, sizeof *s->key);
	s->value = mem_grow(s->value, &s->values_cap, s->n + 1, sizeof *s->value);
	s->key[s->n] = key;
	s->value[s->n] = (uint32_t)value_hash;
	hash_index_add(&s->index, hash, (uint32_t)s->n++);
	return DEDUP_NEW;
}

enum seen_how dedup_find(const struct dedup *s, uint32_t series, int64_t t_s, uint64_t value_hash)
{
	uint64_t key = key_of(series, t_s);

	return find(s, key, hash_mix(key), value_hash);
}
