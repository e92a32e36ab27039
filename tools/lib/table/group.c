#include "table/group.h"

#include <stdlib.h>

#include "math/stats.h"

void groups_init(struct groups *set, const struct groups_plan *plan)
{
	*set = (struct groups){ .plan = plan };
}

static void free_group(const struct groups_plan *plan, struct group *g)
{
	for (size_t i = 0; i < plan->nnamed; i++) {
		buf_release(&g->ends[i].least);
		buf_release(&g->ends[i].most);
	}
	if (plan->nkeys)
		free((char *)g->key[0].p);
	free(g->key);
	free(g->count);
	free(g->sums);
	free(g->ends);
	free(g->extra);
	free(g);
}

void groups_release(struct groups *set)
{
	for (size_t i = 0; i < set->n; i++)
		free_group(set->plan, set->list[i]);
	free(set->list);
	hash_index_release(&set->index);
	*set = (struct groups){ .plan = set->plan };
}

static uint64_t hash_of(const struct slice *key, size_t n)
{
	uint64_t h = 0;

	for (size_t i = 0; i < n; i++)
		h = (h ^ slice_hash(key[i])) * 0x9e3779b97f4a7c15u;
	return h ^ h >> 32;
}

static bool has_key(const struct group *g, const struct slice *key, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (!slice_eq(g->key[i], key[i]))
			return false;
	return true;
}

static struct group *find(const struct groups *set, const struct slice *key, uint64_t hash)
{
	struct hash_probe p = hash_probe_of(&set->index, hash);

	while (hash_probe_next(&set->index, &p))
		if (has_key(set->list[p.row], key, set->plan->nkeys))
			return set->list[p.row];
	return NULL;
}

/* The keys of a group follow each other in one block of memory. */
static struct slice *copy_keys(const struct slice *key, size_t n)
{
	struct slice *copy = mem_array(n, sizeof *copy);
	size_t bytes = 0;
	char *p;

	for (size_t i = 0; i < n; i++)
		bytes += key[i].n;
	p = mem_array(bytes + 1, 1);
	for (size_t i = 0; i < n; i++) {
		copy[i] = (struct slice){ p, key[i].n };
		if (key[i].n)
			memcpy(p, key[i].p, key[i].n);
		p += key[i].n;
	}
	if (!n)
		free(p);
	return copy;
}

static struct group *make(const struct groups_plan *plan, const struct slice *key, uint64_t hash)
{
	struct group *g = mem_zeroed(1, sizeof *g);

	g->hash = hash;
	g->key = copy_keys(key, plan->nkeys);
	g->count = mem_zeroed(plan->ncounts, sizeof *g->count);
	g->sums = mem_zeroed(plan->nsums, sizeof *g->sums);
	g->ends = mem_zeroed(plan->nnamed, sizeof *g->ends);
	g->extra = mem_zeroed(plan->extra, 1);
	return g;
}

struct group *groups_at(struct groups *set, const struct slice *key)
{
	uint64_t hash = hash_of(key, set->plan->nkeys);
	struct group *g = find(set, key, hash);

	if (g)
		return g;
	g = make(set->plan, key, hash);
	set->list = mem_grow(set->list, &set->cap, set->n + 1, sizeof(struct group *));
	hash_index_add(&set->index, hash, (uint32_t)set->n);
	set->list[set->n++] = g;
	return g;
}

/* Takes the name when its reading is further out, or as far and its name comes first. */
static void rename_end(struct buf *end, bool first, int64_t held, int64_t come, struct slice who)
{
	if (!first && held < come)
		return;
	if (!first && held == come && slice_cmp(buf_slice(end), who) <= 0)
		return;
	end->n = 0;
	buf_add(end, who);
}

void group_add_sums(const struct groups_plan *plan, struct group *g, size_t i, const struct sums *from,
	struct slice least_who, struct slice most_who)
{
	struct sums *s = &g->sums[i];

	if (i < plan->nnamed && from->n) {
		rename_end(&g->ends[i].least, s->n == 0, s->least, from->least, least_who);
		rename_end(&g->ends[i].most, s->n == 0, -s->most, -from->most, most_who);
	}
	sums_merge(s, from);
}

void group_merge(const struct groups_plan *plan, struct group *into, const struct group *from)
{
	const struct slice nobody = { "", 0 };

	for (size_t i = 0; i < plan->ncounts; i++)
		into->count[i] += from->count[i];
	for (size_t i = 0; i < plan->nsums; i++)
		group_add_sums(plan, into, i, &from->sums[i],
			i < plan->nnamed ? buf_slice(&from->ends[i].least) : nobody,
			i < plan->nnamed ? buf_slice(&from->ends[i].most) : nobody);
}

/* qsort() has no argument for how many keys there are, so an array of pairs is sorted. */
struct ranked {
	struct group *group;
	size_t nkeys;
};

static int key_order(const void *a, const void *b)
{
	const struct ranked *x = a, *y = b;
	int order = 0;

	for (size_t i = 0; i < x->nkeys && !order; i++)
		order = slice_cmp(x->group->key[i], y->group->key[i]);
	return order;
}

void groups_sort(struct groups *set)
{
	struct ranked *ranked = mem_array(set->n, sizeof *ranked);

	for (size_t i = 0; i < set->n; i++)
		ranked[i] = (struct ranked){ set->list[i], set->plan->nkeys };
	if (set->n)
		qsort(ranked, set->n, sizeof *ranked, key_order);
	hash_index_clear(&set->index);
	for (size_t i = 0; i < set->n; i++) {
		set->list[i] = ranked[i].group;
		hash_index_add(&set->index, set->list[i]->hash, (uint32_t)i);
	}
	free(ranked);
}

void lane_clear(struct lane *lane)
{
	*lane = (struct lane){ .least = INT64_MAX, .most = INT64_MIN };
}

void lane_empty(struct lane *lane, struct sums *into)
{
	const struct sums part = { lane->n, lane->sum, lane->squares, lane->least, lane->most };

	sums_merge(into, &part);
	lane_clear(lane);
}
