#include "stock/stock_greedy.h"

#include <stdlib.h>

#include "stock/stock_search.h"

#define NONE UINT32_MAX

/* Lines that wait at one place for a change. */
struct waiting_place {
	uint32_t place, first;     /* first: position, or NONE */
};

struct greedy {
	struct stock *s;
	struct stock_search *g;
	uint32_t *heap;            /* positions of lines to be tried; the smallest first */
	size_t nheap;
	uint32_t *next;            /* by position: the next line that waits at that place */
	struct waiting_place *place; /* [0]: lines that look at several places */
	size_t nplaces, places_cap;
	struct hash_index places;
	uint32_t timed, of_instant; /* the next timed line that is not in yet; lines of the instant that are not done */
};

/* ---- lines to be tried */

static void push(struct greedy *y, uint32_t at)
{
	size_t i = y->nheap++;

	for (; i && y->heap[(i - 1) / 2] > at; i = (i - 1) / 2)
		y->heap[i] = y->heap[(i - 1) / 2];
	y->heap[i] = at;
}

static uint32_t pop(struct greedy *y)
{
	uint32_t top = y->heap[0], last = y->heap[--y->nheap];
	size_t i = 0, k;

	while ((k = 2 * i + 1) < y->nheap) {
		k += k + 1 < y->nheap && y->heap[k + 1] < y->heap[k];
		if (y->heap[k] >= last)
			break;
		y->heap[i] = y->heap[k];
		i = k;
	}
	y->heap[i] = last;
	return top;
}

/* Lets the lines of the next instant in. */
static void next_instant(struct greedy *y)
{
	const struct stock_search *g = y->g;
	int32_t second;

	while (y->timed < g->untimed && g->done[y->timed])
		y->timed++;
	if (y->timed == g->untimed)
		return;
	second = y->s->op[g->op[y->timed]].second;
	for (; y->timed < g->untimed && y->s->op[g->op[y->timed]].second == second; y->timed++)
		if (!g->done[y->timed]) {
			push(y, y->timed);
			y->of_instant++;
		}
}

/* ---- lines that wait */

static uint32_t place_at(struct greedy *y, uint32_t place, bool add)
{
	struct hash_probe p = hash_probe_of(&y->places, hash_mix(place));

	while (hash_probe_next(&y->places, &p))
		if (y->place[p.row].place == place)
			return p.row;
	if (!add)
		return NONE;
	y->place = mem_grow(y->place, &y->places_cap, y->nplaces + 1, sizeof *y->place);
	y->place[y->nplaces] = (struct waiting_place){ place, NONE };
	hash_index_add(&y->places, hash_mix(place), (uint32_t)y->nplaces);
	return (uint32_t)y->nplaces++;
}

/* The one place that a line looks at, or STOCK_ANY. */
static uint32_t look_place(const struct greedy *y, uint32_t at)
{
	const struct stock_reach *r = &y->g->reach[at];
	const struct stock_kind *pattern = y->g->all->pattern + r->first;

	for (uint32_t i = 1; i < r->nlooks; i++)
		if (pattern[i].place != pattern[0].place)
			return STOCK_ANY;
	return r->nlooks ? pattern[0].place : STOCK_ANY;
}

static void wait_at(struct greedy *y, uint32_t at)
{
	uint32_t row = place_at(y, look_place(y, at), true);

	y->next[at] = y->place[row].first;
	y->place[row].first = at;
}

static void wake(struct greedy *y, uint32_t row)
{
	for (uint32_t at = y->place[row].first, next; at != NONE; at = next) {
		next = y->next[at];
		push(y, at);
	}
	y->place[row].first = NONE;
}

/* Wakes those that wait where the line changed something. */
static void wake_for(struct greedy *y, uint32_t at)
{
	const struct stock_reach *r = &y->g->reach[at];

	wake(y, 0);
	for (uint32_t i = 0; i < r->nlooks + r->ngives; i++) {
		uint32_t place = y->g->all->pattern[r->first + i].place, row = place_at(y, place, false);

		if (place == STOCK_ANY)
			for (uint32_t k = 0; k < y->nplaces; k++)
				wake(y, k);
		else if (row != NONE)
			wake(y, row);
	}
}

/* ---- the run */

static void take(struct greedy *y, uint32_t at)
{
	y->g->order[y->g->ordered++] = at;
	wake_for(y, at);
	if (at < y->g->untimed && --y->of_instant == 0)
		next_instant(y);
}

void stock_greedy(struct stock *s, struct stock_search *g, stock_greedy_apply *apply, size_t tries)
{
	struct greedy y = { .s = s, .g = g };

	y.heap = mem_array(g->n + 1, sizeof *y.heap);
	y.next = mem_array(g->n, sizeof *y.next);
	place_at(&y, STOCK_ANY, true);
	g->ordered = 0;
	next_instant(&y);
	for (uint32_t i = g->untimed; i < g->n; i++)
		if (!g->done[i])
			push(&y, i);
	while (y.nheap && tries--) {
		uint32_t at = pop(&y);

		if (apply(s, g, at))
			take(&y, at);
		else
			wait_at(&y, at);
	}
	free(y.heap);
	free(y.next);
	free(y.place);
	hash_index_release(&y.places);
}
