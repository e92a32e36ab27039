#include <stdlib.h>

#include "stock/stock_internal.h"

/* By id and list. */
struct list_head {
	uint32_t first[STOCK_LISTS];  /* bucket: index + 1 */
	uint32_t length[STOCK_LISTS];
};

struct links {
	uint32_t next[STOCK_LISTS], prev[STOCK_LISTS]; /* bucket: index + 1 */
};

struct stock_index {
	struct list_head *head;
	struct links *links;       /* of each bucket */
	size_t links_cap;
	struct hash_index kinds;   /* of the buckets, by kind */
};

/* ---- by kind */

bool stock_same_kind(const struct stock_kind *a, const struct stock_kind *b)
{
	return a->lot == b->lot && a->place == b->place && a->type == b->type && a->grade == b->grade && a->class == b->class
		&& a->party == b->party && a->form == b->form;
}

static uint64_t hash_of(const struct stock_kind *k)
{
	uint64_t sort = hash_mix(hash_pair(k->type, k->grade) ^ hash_mix(hash_pair(k->class, k->party))) + (uint64_t)k->form;

	return hash_mix(hash_pair(k->lot, k->place) ^ sort);
}

uint32_t stock_index_find(const struct stock_state *r, const struct stock_kind *kind)
{
	struct hash_probe p = hash_probe_of(&r->index->kinds, hash_of(kind));

	while (hash_probe_next(&r->index->kinds, &p))
		if (stock_same_kind(&r->bucket[p.row].kind, kind))
			return p.row + 1;
	return 0;
}

/* ---- the lists */

static uint32_t list_id(const struct stock_kind *k, int list)
{
	const uint32_t ids[STOCK_LISTS] = { k->lot, k->place, k->type, k->grade };

	return ids[list];
}

static void list_in(struct stock_state *r, uint32_t at, int list)
{
	struct list_head *head = &r->index->head[list_id(&r->bucket[at].kind, list)];
	struct links *links = r->index->links;
	uint32_t first = head->first[list];

	links[at].next[list] = first;
	links[at].prev[list] = 0;
	if (first)
		links[first - 1].prev[list] = at + 1;
	head->first[list] = at + 1;
	head->length[list]++;
}

static void list_out(struct stock_state *r, uint32_t at, int list)
{
	struct list_head *head = &r->index->head[list_id(&r->bucket[at].kind, list)];
	struct links *links = r->index->links;
	uint32_t next = links[at].next[list], prev = links[at].prev[list];

	if (next)
		links[next - 1].prev[list] = prev;
	if (prev)
		links[prev - 1].next[list] = next;
	else
		head->first[list] = next;
	head->length[list]--;
}

void stock_index_number(struct stock_state *r, uint32_t at, bool was, bool is)
{
	for (int list = 0; was != is && list < STOCK_LISTS; list++) {
		if (is)
			list_in(r, at, list);
		else
			list_out(r, at, list);
	}
}

uint32_t stock_index_shortest(const struct stock_state *r, const uint32_t *ids, int *list)
{
	uint32_t first = 0, length = UINT32_MAX;

	for (int i = 0; i < STOCK_LISTS; i++) {
		const struct list_head *head = ids[i] == STOCK_ANY ? NULL : &r->index->head[ids[i]];

		if (head && head->length[i] < length) {
			first = head->first[i];
			length = head->length[i];
			*list = i;
		}
	}
	return first;
}

uint32_t stock_index_next(const struct stock_state *r, uint32_t bucket, int list)
{
	return r->index->links[bucket - 1].next[list];
}

/* ---- life */

void stock_index_add(struct stock_state *r, uint32_t at)
{
	struct stock_index *x = r->index;

	x->links = mem_grow(x->links, &x->links_cap, at + 1u, sizeof *x->links);
	hash_index_add(&x->kinds, hash_of(&r->bucket[at].kind), at);
	stock_index_number(r, at, false, r->bucket[at].n > 0);
}

void stock_index_open(struct stock_state *r)
{
	r->index = mem_zeroed(1, sizeof *r->index);
	r->index->head = mem_zeroed(r->nids, sizeof *r->index->head);
	for (uint32_t i = 0; i < r->nbuckets; i++)
		stock_index_add(r, i);
}

void stock_index_free(struct stock_index *x)
{
	if (!x)
		return;
	free(x->head);
	free(x->links);
	hash_index_release(&x->kinds);
	free(x);
}
