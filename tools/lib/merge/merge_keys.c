#include "merge/merge_keys.h"

#include <stdlib.h>

#include "base/hash_index.h"

void merge_key_add(struct merge_keys *k, uint64_t key, unsigned of, size_t unit)
{
	k->row = mem_grow(k->row, &k->cap, k->n + 1, sizeof *k->row);
	k->row[k->n++] = (struct merge_key){ key, of, unit };
}

static int by_key(const void *a, const void *b)
{
	const struct merge_key *x = a, *y = b;

	if (x->key != y->key)
		return x->key < y->key ? -1 : 1;
	if (x->of != y->of)
		return x->of < y->of ? -1 : 1;
	return (x->unit > y->unit) - (x->unit < y->unit);
}

void merge_keys_sort(struct merge_keys *k)
{
	if (k->n)
		qsort(k->row, k->n, sizeof *k->row, by_key);
}

bool merge_run_next(const struct merge_keys *k, unsigned first, struct merge_run *run)
{
	while (run->to < k->n) {
		run->from = run->middle = run->to;
		while (run->middle < k->n && k->row[run->middle].key == k->row[run->from].key && k->row[run->middle].of == first)
			run->middle++;
		run->to = run->middle;
		while (run->to < k->n && k->row[run->to].key == k->row[run->from].key)
			run->to++;
		if (run->middle > run->from && run->to > run->middle)
			return true;
	}
	return false;
}

uint64_t merge_words(uint64_t key, struct slice words)
{
	return hash_mix((key + 1) * 0x9e3779b97f4a7c15u ^ slice_hash(words));
}
