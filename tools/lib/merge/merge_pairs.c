#include "merge/merge_pairs.h"

#include <stdint.h>
#include <stdlib.h>

#include "base/ascending.h"
#include "base/hash_index.h"
#include "merge/merge_keys.h"

/* ---- sets */

void merge_sets_init(struct merge_sets *s, size_t n)
{
	*s = (struct merge_sets){ mem_array(n, sizeof *s->parent), n };
	for (size_t i = 0; i < n; i++)
		s->parent[i] = i;
}

void merge_sets_release(struct merge_sets *s)
{
	free(s->parent);
}

size_t merge_sets_root(struct merge_sets *s, size_t a)
{
	while (s->parent[a] != a)
		a = s->parent[a] = s->parent[s->parent[a]];
	return a;
}

/* The root is the smallest number, so that it does not depend on the order of the calls. */
void merge_sets_join(struct merge_sets *s, size_t a, size_t b)
{
	a = merge_sets_root(s, a);
	b = merge_sets_root(s, b);
	if (a < b)
		s->parent[b] = a;
	else
		s->parent[a] = b;
}

/* ---- the same text */

static bool is_new(const struct merge_side *s, size_t unit)
{
	return !s->same[unit];
}

static void pair_same(struct merge_side *s, size_t base, size_t unit)
{
	s->was[unit] = base;
	s->base_at[base] = unit;
	s->same[unit] = true;
	s->gone[base] = false;
}

static uint64_t text_key(const struct merge_unit *u)
{
	return merge_words((uint64_t)u->kind, u->text);
}

/* In each run of one text: the only two, or (`any`) as many as there are, in their order. */
static void pair_texts(struct merge_side *s, bool by_gap, bool any)
{
	struct merge_keys keys = { NULL, 0, 0 };
	struct merge_run run = { 0, 0, 0 };

	for (size_t i = 0; i < s->base->n; i++)
		if (s->gone[i])
			merge_key_add(&keys, text_key(&s->base->unit[i]) + (by_gap ? hash_mix(s->base_gap[i]) : 0), MERGE_OF_BASE, i);
	for (size_t i = 0; i < s->book->n; i++)
		if (is_new(s, i))
			merge_key_add(&keys, text_key(&s->book->unit[i]) + (by_gap ? hash_mix(s->gap[i]) : 0), MERGE_OF_A, i);
	merge_keys_sort(&keys);
	while (merge_run_next(&keys, MERGE_OF_BASE, &run)) {
		if (!any && run.to - run.from != 2)
			continue;
		for (size_t i = run.from, j = run.middle; i < run.middle && j < run.to; i++, j++)
			if (slice_eq(s->base->unit[keys.row[i].unit].text, s->book->unit[keys.row[j].unit].text))
				pair_same(s, keys.row[i].unit, keys.row[j].unit);
	}
	free(keys.row);
}

/* Marks the units that did not keep the order of the base. */
static void find_moved(struct merge_side *s)
{
	bool *in = mem_array(s->book->n, sizeof *in);

	ascending_mark(s->was, s->book->n, in);
	for (size_t i = 0; i < s->book->n; i++)
		s->moved[i] = s->was[i] != SIZE_MAX && !in[i];
	free(in);
}

static void find_gaps(struct merge_side *s)
{
	size_t gap = 0, base = 0;

	find_moved(s);
	for (size_t i = 0; i < s->book->n; i++) {
		if (s->same[i] && !s->moved[i]) {
			for (; base <= s->was[i]; base++)
				s->base_gap[base] = gap;
			gap++;
		}
		s->gap[i] = gap;
	}
	for (; base < s->base->n; base++)
		s->base_gap[base] = gap;
}

/* ---- changes */

/* The words that have to be alike in a step, as a key; 0 where the step is not for such a unit. */
typedef uint64_t step_key(const struct merge_unit *u);

static uint64_t same_entry(const struct merge_unit *u)
{
	return u->kind == MERGE_ENTRY ? merge_words(1, u->entry) : 0;
}

static uint64_t same_head(const struct merge_unit *u)
{
	return u->kind == MERGE_ENTRY ? merge_words(merge_words(merge_words(merge_words(2, u->date), u->time), u->event), u->subject) : 0;
}

static uint64_t same_but_time(const struct merge_unit *u)
{
	return u->kind == MERGE_ENTRY && u->fields.n ? merge_words(merge_words(merge_words(3, u->event), u->subject), u->fields) : 0;
}

static uint64_t same_but_subject(const struct merge_unit *u)
{
	return u->kind == MERGE_ENTRY && u->fields.n ? merge_words(merge_words(merge_words(merge_words(4, u->date), u->time), u->event), u->fields) : 0;
}

static void link_units(struct merge_side *s, struct merge_sets *sets, size_t base, size_t unit)
{
	merge_sets_join(sets, base, s->first + unit);
	s->linked[unit] = s->base_linked[base] = true;
}

static void pair_edit(struct merge_side *s, size_t base, size_t unit)
{
	s->was[unit] = base;
	s->base_at[base] = unit;
}

static void link_all(struct merge_side *s, struct merge_sets *sets, const struct merge_keys *k, struct merge_run run)
{
	for (size_t i = run.from; i < run.middle; i++)
		link_units(s, sets, k->row[i].unit, k->row[run.middle].unit);
	for (size_t j = run.middle; j < run.to; j++)
		link_units(s, sets, k->row[run.from].unit, k->row[j].unit);
}

static void link_run(struct merge_side *s, struct merge_sets *sets, const struct merge_keys *k, struct merge_run run)
{
	link_all(s, sets, k, run);
	if (run.to - run.from == 2)
		pair_edit(s, k->row[run.from].unit, k->row[run.middle].unit);
}

static uint64_t same_event_and_subject(const struct merge_unit *u)
{
	return u->kind == MERGE_ENTRY ? merge_words(merge_words(5, u->event), u->subject) : 0;
}

static uint64_t same_event_and_fields(const struct merge_unit *u)
{
	return u->kind == MERGE_ENTRY && u->fields.n ? merge_words(merge_words(6, u->event), u->fields) : 0;
}

/* Links the units of each key, or (`alone`) only where there is one of each. */
static void link_step(struct merge_side *s, struct merge_sets *sets, step_key *key_of, bool alone)
{
	struct merge_keys keys = { NULL, 0, 0 };
	struct merge_run run = { 0, 0, 0 };
	uint64_t key;

	for (size_t i = 0; i < s->base->n; i++)
		if (s->gone[i] && !s->base_linked[i] && (key = key_of(&s->base->unit[i])))
			merge_key_add(&keys, key, MERGE_OF_BASE, i);
	for (size_t i = 0; i < s->book->n; i++)
		if (is_new(s, i) && !s->linked[i] && (key = key_of(&s->book->unit[i])))
			merge_key_add(&keys, key, MERGE_OF_A, i);
	merge_keys_sort(&keys);
	while (merge_run_next(&keys, MERGE_OF_BASE, &run))
		if (!alone || run.to - run.from == 2)
			link_run(s, sets, &keys, run);
	free(keys.row);
}

/* Whether a unit was the same entry with other comment lines above it. */
static bool only_comments(const struct merge_side *s, size_t unit)
{
	return s->was[unit] != SIZE_MAX && slice_eq(s->book->unit[unit].entry, s->base->unit[s->was[unit]].entry);
}

/*
 * Links by a key whatever an earlier step has linked: a unit may have become two, or have been two. Which of
 * them is not known then. The same entry is sure, and keeps out of it.
 */
static void link_twofold(struct merge_side *s, struct merge_sets *sets, step_key *key_of)
{
	struct merge_keys keys = { NULL, 0, 0 };
	struct merge_run run = { 0, 0, 0 };
	uint64_t key;

	for (size_t i = 0; i < s->base->n; i++)
		if (s->gone[i] && !(s->base_at[i] != SIZE_MAX && only_comments(s, s->base_at[i])) && (key = key_of(&s->base->unit[i])))
			merge_key_add(&keys, key, MERGE_OF_BASE, i);
	for (size_t i = 0; i < s->book->n; i++)
		if (is_new(s, i) && !only_comments(s, i) && (key = key_of(&s->book->unit[i])))
			merge_key_add(&keys, key, MERGE_OF_A, i);
	merge_keys_sort(&keys);
	while (merge_run_next(&keys, MERGE_OF_BASE, &run))
		link_all(s, sets, &keys, run);
	free(keys.row);
}

/* ---- by their place */

static bool is_near(const struct merge_unit *a, const struct merge_unit *b)
{
	if ((a->kind == MERGE_ENTRY) != (b->kind == MERGE_ENTRY))
		return false;
	return a->kind != MERGE_ENTRY || slice_eq(a->date, b->date) + slice_eq(a->time, b->time) + slice_eq(a->event, b->event) +
		slice_eq(a->subject, b->subject) >= 3;
}

/* Above this many comparisons in one place all of it is one set. */
enum { COMPARISONS_MOST = 1000000 };

static void link_place(struct merge_side *s, struct merge_sets *sets, const struct merge_keys *k, struct merge_run run)
{
	bool all = (run.middle - run.from) > COMPARISONS_MOST / (run.to - run.middle);
	size_t links = 0, base = 0, unit = 0;

	if (all) {
		link_run(s, sets, k, run);
		return;
	}
	for (size_t i = run.from; i < run.middle; i++)
		for (size_t j = run.middle; j < run.to; j++)
			if (is_near(&s->base->unit[k->row[i].unit], &s->book->unit[k->row[j].unit])) {
				base = k->row[i].unit;
				unit = k->row[j].unit;
				link_units(s, sets, base, unit);
				links++;
			}
	if (links == 1)
		pair_edit(s, base, unit);
}

static void link_places(struct merge_side *s, struct merge_sets *sets)
{
	struct merge_keys keys = { NULL, 0, 0 };
	struct merge_run run = { 0, 0, 0 };

	for (size_t i = 0; i < s->base->n; i++)
		if (s->gone[i] && !s->base_linked[i])
			merge_key_add(&keys, s->base_gap[i], MERGE_OF_BASE, i);
	for (size_t i = 0; i < s->book->n; i++)
		if (is_new(s, i) && !s->linked[i])
			merge_key_add(&keys, s->gap[i], MERGE_OF_A, i);
	merge_keys_sort(&keys);
	while (merge_run_next(&keys, MERGE_OF_BASE, &run))
		link_place(s, sets, &keys, run);
	free(keys.row);
}

/* ---- a version */

static void allocate(struct merge_side *s)
{
	size_t n = s->book->n, nbase = s->base->n;

	s->was = mem_array(n, sizeof *s->was);
	s->same = mem_zeroed(n, sizeof *s->same);
	s->moved = mem_zeroed(n, sizeof *s->moved);
	s->linked = mem_zeroed(n, sizeof *s->linked);
	s->gap = mem_zeroed(n, sizeof *s->gap);
	s->gone = mem_array(nbase, sizeof *s->gone);
	s->base_linked = mem_zeroed(nbase, sizeof *s->base_linked);
	s->base_at = mem_array(nbase, sizeof *s->base_at);
	s->base_gap = mem_zeroed(nbase, sizeof *s->base_gap);
	for (size_t i = 0; i < n; i++)
		s->was[i] = SIZE_MAX;
	for (size_t i = 0; i < nbase; i++) {
		s->base_at[i] = SIZE_MAX;
		s->gone[i] = true;
	}
}

void merge_side_init(struct merge_side *s, const struct merge_book *base, const struct merge_book *book, size_t first,
	struct merge_sets *sets)
{
	*s = (struct merge_side){ .base = base, .book = book, .first = first };
	allocate(s);
	pair_texts(s, false, false);
	find_gaps(s);
	pair_texts(s, true, true);
	pair_texts(s, false, true);
	find_gaps(s);
	link_step(s, sets, same_entry, false);
	link_step(s, sets, same_head, false);
	link_step(s, sets, same_but_time, false);
	link_step(s, sets, same_but_subject, false);
	link_twofold(s, sets, same_but_time);
	link_twofold(s, sets, same_but_subject);
	link_places(s, sets);
	link_step(s, sets, same_event_and_subject, true);
	link_step(s, sets, same_event_and_fields, true);
	find_moved(s);
}

void merge_side_release(struct merge_side *s)
{
	free(s->was);
	free(s->same);
	free(s->moved);
	free(s->linked);
	free(s->gap);
	free(s->gone);
	free(s->base_linked);
	free(s->base_at);
	free(s->base_gap);
}

/* ---- across both versions */

static void add_new(struct merge_keys *k, const struct merge_side *s, unsigned of)
{
	for (size_t i = 0; i < s->book->n; i++)
		if (is_new(s, i) && s->book->unit[i].kind == MERGE_ENTRY)
			merge_key_add(k, s->book->unit[i].hash.a ^ hash_mix(s->book->unit[i].hash.b), of, i);
}

/* Unlinked new entries of a version by the gap that they are in; a unit of the base is in one, too. */
static void add_unlinked(struct merge_keys *k, const struct merge_side *s, unsigned of)
{
	for (size_t i = 0; i < s->book->n; i++)
		if (is_new(s, i) && !s->linked[i] && s->book->unit[i].kind == MERGE_ENTRY)
			merge_key_add(k, s->gap[i], of, i);
}

static void join_run(struct merge_sets *sets, const struct merge_keys *k, struct merge_run run, const size_t first[3])
{
	for (size_t i = run.from + 1; i < run.to; i++)
		merge_sets_join(sets, first[k->row[run.from].of] + k->row[run.from].unit, first[k->row[i].of] + k->row[i].unit);
}

static void link_equal(struct merge_side *a, struct merge_side *b, struct merge_sets *sets)
{
	const size_t first[3] = { 0, a->first, b->first };
	struct merge_keys keys = { NULL, 0, 0 };
	struct merge_run run = { 0, 0, 0 };

	add_new(&keys, a, MERGE_OF_A);
	add_new(&keys, b, MERGE_OF_B);
	merge_keys_sort(&keys);
	while (merge_run_next(&keys, MERGE_OF_A, &run))
		join_run(sets, &keys, run, first);
	free(keys.row);
}

/* The rows of a key, in keys that are sorted. */
static struct merge_run rows_of(const struct merge_keys *k, uint64_t key)
{
	size_t low = 0, high = k->n;
	struct merge_run run;

	while (low < high) {
		size_t mid = low + (high - low) / 2;

		if (k->row[mid].key < key)
			low = mid + 1;
		else
			high = mid;
	}
	run = (struct merge_run){ low, low, low };
	while (run.to < k->n && k->row[run.to].key == key)
		run.to++;
	return run;
}

/* Whether a new entry may be what became of a lost one. */
static bool may_follow(const struct merge_side *s, size_t base, size_t unit)
{
	const struct merge_unit *was = &s->base->unit[base], *now = &s->book->unit[unit];

	return slice_eq(was->event, now->event) || slice_eq(was->subject, now->subject);
}

static bool has_heir(const struct merge_side *s, size_t base, const struct merge_keys *k, struct merge_run run)
{
	while (run.from < run.to && !may_follow(s, base, k->row[run.from].unit))
		run.from++;
	return run.from < run.to;
}

static void link_heirs(struct merge_sets *sets, size_t base, const struct merge_side *s, const struct merge_keys *k, struct merge_run run)
{
	for (size_t i = run.from; i < run.to; i++)
		if (may_follow(s, base, k->row[i].unit))
			merge_sets_join(sets, base, s->first + k->row[i].unit);
}

/* Whether a unit of the base is an entry that both versions lost. */
static bool is_lost(const struct merge_side *a, const struct merge_side *b, size_t base)
{
	return a->gone[base] && b->gone[base] && !a->base_linked[base] && !b->base_linked[base] && a->base->unit[base].kind == MERGE_ENTRY;
}

/* By their place: both versions have an heir there. */
static void link_lost(struct merge_side *a, struct merge_side *b, struct merge_sets *sets)
{
	struct merge_keys ka = { NULL, 0, 0 }, kb = { NULL, 0, 0 };

	add_unlinked(&ka, a, MERGE_OF_A);
	add_unlinked(&kb, b, MERGE_OF_B);
	merge_keys_sort(&ka);
	merge_keys_sort(&kb);
	for (size_t i = 0; i < a->base->n; i++) {
		struct merge_run ra, rb;

		if (!is_lost(a, b, i))
			continue;
		ra = rows_of(&ka, a->base_gap[i]);
		rb = rows_of(&kb, b->base_gap[i]);
		if (!has_heir(a, i, &ka, ra) || !has_heir(b, i, &kb, rb))
			continue;
		link_heirs(sets, i, a, &ka, ra);
		link_heirs(sets, i, b, &kb, rb);
	}
	free(ka.row);
	free(kb.row);
}

static void add_far(struct merge_keys *k, const struct merge_side *s, unsigned of)
{
	for (size_t i = 0; i < s->book->n; i++)
		if (is_new(s, i) && !s->linked[i] && s->book->unit[i].kind == MERGE_ENTRY)
			merge_key_add(k, same_event_and_subject(&s->book->unit[i]), of, i);
}

/* By the event and subject: an heir in one version is enough, for there it may be an edit of what the other removed. */
static void link_far(struct merge_side *a, struct merge_side *b, struct merge_sets *sets)
{
	const size_t first[3] = { 0, a->first, b->first };
	struct merge_keys keys = { NULL, 0, 0 };
	struct merge_run run = { 0, 0, 0 };

	for (size_t i = 0; i < a->base->n; i++)
		if (is_lost(a, b, i))
			merge_key_add(&keys, same_event_and_subject(&a->base->unit[i]), MERGE_OF_BASE, i);
	add_far(&keys, a, MERGE_OF_A);
	add_far(&keys, b, MERGE_OF_B);
	merge_keys_sort(&keys);
	while (merge_run_next(&keys, MERGE_OF_BASE, &run))
		join_run(sets, &keys, run, first);
	free(keys.row);
}

void merge_sides_link(struct merge_side *a, struct merge_side *b, struct merge_sets *sets)
{
	link_equal(a, b, sets);
	link_lost(a, b, sets);
	link_far(a, b, sets);
}
