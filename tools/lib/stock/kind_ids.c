#include "stock/kind_ids.h"

#include <stdlib.h>

void kind_ids_init(struct kind_ids *k)
{
	*k = (struct kind_ids){ .n = 1 };
	k->kind = mem_grow(NULL, &k->cap, 64, sizeof *k->kind);
	k->kind[0] = (struct stock_kind){ .form = -1 };
}

void kind_ids_release(struct kind_ids *k)
{
	free(k->kind);
	hash_index_release(&k->index);
	*k = (struct kind_ids){ .n = 0 };
}

static uint32_t find(const struct kind_ids *k, const struct stock_kind *kind, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&k->index, hash);

	while (hash_probe_next(&k->index, &p))
		if (kind_same(&k->kind[p.row], kind))
			return p.row;
	return 0;
}

uint32_t kind_ids_find(const struct kind_ids *k, const struct stock_kind *kind)
{
	return find(k, kind, kind_hash(kind));
}

static uint32_t number_new(struct kind_ids *k)
{
	uint32_t id = k->spare;

	if (id) {
		k->spare = k->kind[id].lot;
		return id;
	}
	k->kind = mem_grow(k->kind, &k->cap, k->n + 1u, sizeof *k->kind);
	return k->n++;
}

/* A sort is often asked for several times in a row. */
uint32_t kind_ids_id(struct kind_ids *k, const struct stock_kind *kind)
{
	uint64_t hash;

	if (k->last && kind_same(&k->kind[k->last], kind))
		return k->last;
	hash = kind_hash(kind);
	k->last = find(k, kind, hash);
	if (k->last)
		return k->last;
	k->last = number_new(k);
	k->kind[k->last] = *kind;
	hash_index_add(&k->index, hash, k->last);
	return k->last;
}

void kind_ids_forget(struct kind_ids *k, uint32_t id)
{
	hash_index_remove(&k->index, kind_hash(&k->kind[id]), id);
	k->kind[id] = (struct stock_kind){ .lot = k->spare, .form = -1 };
	k->spare = id;
	if (k->last == id)
		k->last = 0;
}

void kind_ids_fetch(const struct kind_ids *k, const struct stock_kind *kind)
{
	hash_index_fetch(&k->index, kind_hash(kind));
}
