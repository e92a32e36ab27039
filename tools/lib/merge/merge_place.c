#include "merge/merge_place.h"

#include <stdint.h>
#include <stdlib.h>

#include "base/ascending.h"
#include "merge/merge_verdict.h"

/* What a version has after each unit of the base: [start[k], start[k + 1]) after unit k - 1. */
struct places {
	size_t *number;
	size_t n, cap;
	size_t *start;
};

static bool is_moved(const struct merge_side *s, size_t base)
{
	return s->base_at[base] != SIZE_MAX && s->moved[s->base_at[base]];
}

static void find_places(struct places *p, const struct merge_side *s)
{
	size_t next = 0;

	*p = (struct places){ .start = mem_array(s->base->n + 2, sizeof *p->start) };
	p->start[next++] = 0;
	for (size_t i = 0; i < s->book->n; i++) {
		size_t was = s->was[i];

		if (was != SIZE_MAX && !s->moved[i]) {
			for (; next <= was + 1; next++)
				p->start[next] = p->n;
			continue;
		}
		p->number = mem_grow(p->number, &p->cap, p->n + 1, sizeof *p->number);
		p->number[p->n++] = was != SIZE_MAX ? was : s->first + i;
	}
	for (; next < s->base->n + 2; next++)
		p->start[next] = p->n;
}

static void put(struct merge_order *o, size_t number)
{
	o->number = mem_grow(o->number, &o->cap, o->n + 1, sizeof *o->number);
	o->number[o->n++] = number;
}

/* ---- two runs at one place */

struct run {
	const size_t *number;
	size_t n;
};

static int compare_runs(const struct merge_verdicts *v, struct run a, struct run b)
{
	for (size_t i = 0; i < a.n && i < b.n; i++) {
		int order = slice_cmp(merge_text(v, a.number[i]), merge_text(v, b.number[i]));

		if (order)
			return order;
	}
	return (a.n > b.n) - (a.n < b.n);
}

static void put_parts(struct merge_order *o, const struct merge_verdicts *v, struct run a, struct run b)
{
	bool swap = compare_runs(v, a, b) > 0;

	for (size_t i = 0; i < (swap ? b : a).n; i++)
		put(o, (swap ? b : a).number[i]);
	for (size_t i = 0; i < (swap ? a : b).n; i++)
		put(o, (swap ? a : b).number[i]);
}

static int by_number(const void *a, const void *b)
{
	size_t x = **(const size_t *const *)a, y = **(const size_t *const *)b;

	return (x > y) - (x < y);
}

/* For each of `a` the index of its twin in `b`, or of the same unit; SIZE_MAX for none. */
static void find_partners(const struct merge_verdicts *v, struct run a, struct run b, size_t *partner)
{
	const size_t **sorted = mem_array(b.n, sizeof *sorted);

	for (size_t i = 0; i < b.n; i++)
		sorted[i] = &b.number[i];
	qsort(sorted, b.n, sizeof *sorted, by_number);
	for (size_t i = 0; i < a.n; i++) {
		size_t twin = v->twin[a.number[i]] == SIZE_MAX ? a.number[i] : v->twin[a.number[i]];
		const size_t *key = &twin;
		const size_t **at = bsearch(&key, sorted, b.n, sizeof *sorted, by_number);

		partner[i] = at ? (size_t)(*at - b.number) : SIZE_MAX;
	}
	free(sorted);
}

/* `a` is the run with the smaller bytes. */
static void weave(struct merge_order *o, const struct merge_verdicts *v, struct run a, struct run b)
{
	size_t *partner = mem_array(a.n, sizeof *partner);
	bool *in = mem_array(a.n, sizeof *in);
	size_t from_a = 0, from_b = 0;

	find_partners(v, a, b, partner);
	ascending_mark(partner, a.n, in);
	for (size_t i = 0; i < a.n; i++) {
		if (!in[i])
			continue;
		put_parts(o, v, (struct run){ a.number + from_a, i - from_a }, (struct run){ b.number + from_b, partner[i] - from_b });
		put(o, a.number[i]);
		put(o, b.number[partner[i]]);
		from_a = i + 1;
		from_b = partner[i] + 1;
	}
	put_parts(o, v, (struct run){ a.number + from_a, a.n - from_a }, (struct run){ b.number + from_b, b.n - from_b });
	free(partner);
	free(in);
}

static void put_runs(struct merge_order *o, const struct merge_verdicts *v, struct run a, struct run b)
{
	if (!a.n || !b.n)
		put_parts(o, v, a, b);
	else if (compare_runs(v, a, b) <= 0)
		weave(o, v, a, b);
	else
		weave(o, v, b, a);
}

static struct run run_at(const struct places *p, size_t at)
{
	return (struct run){ p->number + p->start[at], p->start[at + 1] - p->start[at] };
}

void merge_order_init(struct merge_order *o, const struct merge_verdicts *v)
{
	struct places a, b;

	*o = (struct merge_order){ NULL, 0, 0 };
	find_places(&a, v->a);
	find_places(&b, v->b);
	for (size_t at = 0; at <= v->a->base->n; at++) {
		if (at && !is_moved(v->a, at - 1) && !is_moved(v->b, at - 1))
			put(o, at - 1);
		put_runs(o, v, run_at(&a, at), run_at(&b, at));
	}
	free(a.number);
	free(a.start);
	free(b.number);
	free(b.start);
}

void merge_order_release(struct merge_order *o)
{
	free(o->number);
}
