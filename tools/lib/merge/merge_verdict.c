#include "merge/merge_verdict.h"

#include <stdint.h>
#include <stdlib.h>

#include "merge/merge_keys.h"

unsigned merge_whose(const struct merge_verdicts *v, size_t number)
{
	return number < v->a->first ? MERGE_OF_BASE : number < v->b->first ? MERGE_OF_A : MERGE_OF_B;
}

const struct merge_unit *merge_unit_of(const struct merge_verdicts *v, size_t number)
{
	unsigned of = merge_whose(v, number);

	return of == MERGE_OF_BASE ? &v->a->base->unit[number] : of == MERGE_OF_A ? &v->a->book->unit[number - v->a->first]
		: &v->b->book->unit[number - v->b->first];
}

struct slice merge_text(const struct merge_verdicts *v, size_t number)
{
	return merge_unit_of(v, number)->text;
}

bool merge_is_gone(const struct merge_side *s, size_t number)
{
	return s->gone[number];
}

/* ---- the sets */

static void add_new(struct merge_keys *k, const struct merge_side *s, struct merge_sets *sets, unsigned of)
{
	for (size_t i = 0; i < s->book->n; i++)
		if (!s->same[i])
			merge_key_add(k, merge_sets_root(sets, s->first + i), of, s->first + i);
}

/* What changed, by its set. */
static void collect(struct merge_keys *k, const struct merge_side *a, const struct merge_side *b, struct merge_sets *sets)
{
	for (size_t i = 0; i < a->base->n; i++)
		if (a->gone[i] || b->gone[i])
			merge_key_add(k, merge_sets_root(sets, i), MERGE_OF_BASE, i);
	add_new(k, a, sets, MERGE_OF_A);
	add_new(k, b, sets, MERGE_OF_B);
	merge_keys_sort(k);
}

/* The set that starts at row `from` of the keys. */
static struct merge_set set_at(const struct merge_keys *k, size_t from)
{
	struct merge_set set = { .from = from };

	while (from < k->n && k->row[from].key == k->row[set.from].key && k->row[from].of == MERGE_OF_BASE)
		from++;
	set.a = from;
	while (from < k->n && k->row[from].key == k->row[set.from].key && k->row[from].of == MERGE_OF_A)
		from++;
	set.b = from;
	while (from < k->n && k->row[from].key == k->row[set.from].key)
		from++;
	set.to = from;
	return set;
}

/* ---- what becomes of a set */

static int by_bytes(const void *a, const void *b)
{
	return slice_cmp(*(const struct slice *)a, *(const struct slice *)b);
}

static struct slice *sorted_texts(const struct merge_verdicts *v, size_t from, size_t to)
{
	struct slice *text = mem_array(to - from, sizeof *text);

	for (size_t i = from; i < to; i++)
		text[i - from] = merge_text(v, v->member[i]);
	if (to > from)
		qsort(text, to - from, sizeof *text, by_bytes);
	return text;
}

/* Whether all texts of members [from, to) are among those of [in, end), each as often at least. */
static bool are_among(const struct merge_verdicts *v, size_t from, size_t to, size_t in, size_t end)
{
	struct slice *few = sorted_texts(v, from, to), *many = sorted_texts(v, in, end);
	size_t j = 0, found = 0;

	for (size_t i = 0; i < end - in && j < to - from; i++)
		if (slice_eq(many[i], few[j])) {
			j++;
			found++;
		}
	free(few);
	free(many);
	return found == to - from;
}

static size_t count_gone(const struct merge_verdicts *v, const struct merge_side *s, const struct merge_set *set)
{
	size_t n = 0;

	for (size_t i = set->from; i < set->a; i++)
		n += s->gone[v->member[i]];
	return n;
}

static bool gone_alike(const struct merge_verdicts *v, const struct merge_set *set)
{
	for (size_t i = set->from; i < set->a; i++)
		if (v->a->gone[v->member[i]] != v->b->gone[v->member[i]])
			return false;
	return true;
}

static bool same_change(const struct merge_verdicts *v, const struct merge_set *set)
{
	return gone_alike(v, set) && set->b - set->a == set->to - set->b && are_among(v, set->a, set->b, set->b, set->to);
}

/* Both added the same lines, perhaps one more often. */
static bool same_added(const struct merge_verdicts *v, const struct merge_set *set)
{
	struct slice first = merge_text(v, v->member[set->a]);

	for (size_t i = set->a; i < set->to; i++)
		if (!slice_eq(first, merge_text(v, v->member[i])))
			return false;
	return true;
}

static enum merge_verdict judge(const struct merge_verdicts *v, const struct merge_set *set)
{
	size_t gone_a = count_gone(v, v->a, set), gone_b = count_gone(v, v->b, set);
	size_t new_a = set->b - set->a, new_b = set->to - set->b;

	if ((!gone_a && !new_a) || (!gone_b && !new_b))
		return MERGE_TAKEN;
	if (!gone_a && !gone_b)
		return same_added(v, set) ? MERGE_TAKEN : MERGE_REWORDED;
	if (same_change(v, set))
		return MERGE_TAKEN;
	if (!gone_b && are_among(v, set->b, set->to, set->a, set->b))
		return MERGE_TAKEN;
	if (!gone_a && are_among(v, set->a, set->b, set->b, set->to))
		return MERGE_TAKEN;
	if (set->a - set->from == 1 && new_a == 1 && new_b == 1)
		return MERGE_EDITED;
	return set->a - set->from == 1 && new_a + new_b == 1 ? MERGE_REMOVED : MERGE_UNSURE;
}

/* ---- equal new units of both versions */

/* A comment that both added is one only where both added it at the same place. */
static uint64_t twin_key(const struct merge_verdicts *v, const struct merge_side *s, size_t unit)
{
	size_t number = s->first + unit;
	const struct merge_set *set = &v->set[v->set_of[number]];
	const struct merge_unit *u = &s->book->unit[unit];
	bool alone = u->kind != MERGE_ENTRY && set->from == set->a;

	return merge_words(alone ? s->gap[unit] : v->a->first + v->b->first + v->set_of[number], u->text);
}

static void add_taken(struct merge_keys *k, const struct merge_verdicts *v, const struct merge_side *s, unsigned of)
{
	for (size_t i = 0; i < s->book->n; i++)
		if (!s->same[i] && v->set[v->set_of[s->first + i]].verdict == MERGE_TAKEN)
			merge_key_add(k, twin_key(v, s, i), of, s->first + i);
}

static void find_twins(struct merge_verdicts *v)
{
	struct merge_keys keys = { NULL, 0, 0 };
	struct merge_run run = { 0, 0, 0 };

	add_taken(&keys, v, v->a, MERGE_OF_A);
	add_taken(&keys, v, v->b, MERGE_OF_B);
	merge_keys_sort(&keys);
	while (merge_run_next(&keys, MERGE_OF_A, &run))
		for (size_t i = run.from, j = run.middle; i < run.middle && j < run.to; i++, j++)
			if (slice_eq(merge_text(v, keys.row[i].unit), merge_text(v, keys.row[j].unit))) {
				v->twin[keys.row[i].unit] = keys.row[j].unit;
				v->twin[keys.row[j].unit] = keys.row[i].unit;
			}
	free(keys.row);
}

void merge_verdicts_init(struct merge_verdicts *v, const struct merge_side *a, const struct merge_side *b, struct merge_sets *sets)
{
	struct merge_keys keys = { NULL, 0, 0 };

	*v = (struct merge_verdicts){ .a = a, .b = b };
	collect(&keys, a, b, sets);
	v->member = mem_array(keys.n, sizeof *v->member);
	v->set = mem_array(keys.n, sizeof *v->set);
	v->set_of = mem_array(sets->n, sizeof *v->set_of);
	v->twin = mem_array(sets->n, sizeof *v->twin);
	for (size_t i = 0; i < sets->n; i++)
		v->set_of[i] = v->twin[i] = SIZE_MAX;
	for (size_t i = 0; i < keys.n; i++)
		v->member[i] = keys.row[i].unit;
	for (size_t i = 0; i < keys.n; i = v->set[v->nset++].to) {
		struct merge_set *set = &v->set[v->nset];

		*set = set_at(&keys, i);
		set->verdict = judge(v, set);
		for (; i < set->to; i++)
			v->set_of[v->member[i]] = v->nset;
	}
	find_twins(v);
	free(keys.row);
}

void merge_verdicts_release(struct merge_verdicts *v)
{
	free(v->member);
	free(v->set);
	free(v->set_of);
	free(v->twin);
}
