#include "stock/stock_search.h"

#include <stdlib.h>

#include "stock/stock_doubt.h"
#include "stock/stock_greedy.h"
#include "stock/stock_internal.h"
#include "stock/stock_key.h"
#include "stock/stock_settle.h"

#define NONE UINT32_MAX

struct stock_search_frame {
	size_t undo;       /* where the state before the step begins */
	uint32_t tried;    /* the next candidate's position */
	uint32_t at;       /* the line that was applied */
	bool only;         /* no other line needs to be tried here */
};

/* ---- a group */

/* A state holds the sum of its lines' bits, so they must be no multiples of one number. */
static uint64_t bits_of(uint64_t i)
{
	return hash_mix((i + 1) * 0x9e3779b97f4a7c15u);
}

static void find_alike(const struct stock *s, struct stock_search *g)
{
	for (size_t i = 0; i < g->n; i++)
		g->alike[i] = i && stock_key_order(s, g->op[i - 1], g->op[i]) == 0 ? g->alike[i - 1] : bits_of(i);
}

void stock_search_init(struct stock_search *g, struct stock *s, uint32_t *op, size_t n, struct stock_reaches *all, struct stock_reach *reach)
{
	*g = (struct stock_search){ .op = op, .n = n, .all = all, .reach = reach, .tries = n > SEARCH_SURE ? SEARCH_MOST : SIZE_MAX };
	g->words = (n + 63) / 64;
	g->done = mem_zeroed(n, sizeof *g->done);
	g->order = mem_array(n, sizeof *g->order);
	g->trial = mem_array(n, sizeof *g->trial);
	g->frame = mem_array(n + 1, sizeof *g->frame);
	g->alike = mem_array(n, sizeof *g->alike);
	g->left = mem_zeroed(g->words, sizeof *g->left);
	for (size_t i = 0; i < n; i++) {
		g->left[i / 64] |= UINT64_C(1) << i % 64;
		g->untimed += s->op[op[i]].second != STOCK_UNTIMED;
	}
	find_alike(s, g);
}

void stock_search_release(struct stock_search *g)
{
	free(g->done);
	free(g->order);
	free(g->trial);
	free(g->frame);
	free(g->alike);
	free(g->left);
	free(g->hinders);
	free(g->settled);
	free(g->dead);
	hash_index_release(&g->dead_index);
	stock_levels_release(&g->levels);
}

static void set_done(struct stock_search *g, uint32_t at, bool done)
{
	g->done[at] = done;
	if (!done && at < g->begin)
		g->begin = at;
	while (g->begin < g->n && g->done[g->begin])
		g->begin++;
	g->left[at / 64] ^= UINT64_C(1) << at % 64;
}

void stock_search_set_aside(struct stock_search *g, uint32_t at)
{
	set_done(g, at, true);
}

uint32_t stock_search_candidate(const struct stock *s, const struct stock_search *g, uint32_t from)
{
	uint32_t at = g->begin;
	int32_t instant;

	if (at == g->n)
		return NONE;
	instant = s->op[g->op[at]].second;
	at = at > from ? at : from;
	while (at < g->n) {
		if (at < g->untimed && !g->free_times && s->op[g->op[at]].second != instant)
			at = g->untimed;
		else if (g->done[at])
			at++;
		else
			return at;
	}
	return NONE;
}

static size_t lines_left(const struct stock_search *g)
{
	size_t n = 0;

	for (size_t i = 0; i < g->words; i++)
		n += (size_t)__builtin_popcountll(g->left[i]);
	return n;
}

/* ---- one line on trial */

static bool apply(struct stock *s, struct stock_search *g, uint32_t at)
{
	struct stock_fault fault;

	if (!stock_apply(s, g->op[at], &fault))
		return false;
	set_done(g, at, true);
	g->lines += g->alike[at];
	return true;
}

static void take_back(struct stock *s, struct stock_search *g, uint32_t at, size_t undo)
{
	stock_undo(s, undo);
	set_done(g, at, false);
	g->lines -= g->alike[at];
}

static void take_back_ahead(struct stock *s, struct stock_search *g, uint32_t at, size_t undo)
{
	take_back(s, g, at, undo);
	stock_levels_turn(&g->levels, at);
}

/* The same while looking ahead: not where some batch can then no longer come out right. */
static bool apply_ahead(struct stock *s, struct stock_search *g, uint32_t at)
{
	size_t undo = s->state->nundos;

	if (!apply(s, g, at))
		return false;
	stock_levels_turn(&g->levels, at);
	if (stock_levels_hold(&g->levels, at))
		return true;
	take_back_ahead(s, g, at, undo);
	return false;
}

/* ---- without looking ahead */

static bool apply_in_doubt(struct stock *s, struct stock_search *g, uint32_t at)
{
	bool done = apply(s, g, at);

	if (done && s->state->nfaults)
		stock_doubt_follow(s, &s->op[g->op[at]]);
	return done;
}

bool stock_search_greedy(struct stock *s, struct stock_search *g)
{
	size_t all = lines_left(g);

	stock_greedy(s, g, apply_in_doubt, g->n > SEARCH_LINES ? 64 * g->n : SIZE_MAX);
	return g->ordered == all;
}

void stock_search_back(struct stock *s, struct stock_search *g)
{
	stock_undo(s, 0);
	for (size_t i = 0; i < g->ordered; i++) {
		set_done(g, g->order[i], false);
		g->lines -= g->alike[g->order[i]];
	}
}

/* ---- states from which no order leads on */

static uint64_t state_of(const struct stock *s, const struct stock_search *g)
{
	return (g->lines ^ s->state->hash * 31) * 0xff51afd7ed558ccdu;
}

static bool is_dead(const struct stock *s, const struct stock_search *g)
{
	uint64_t state = state_of(s, g);
	struct hash_probe p = hash_probe_of(&g->dead_index, state);

	while (hash_probe_next(&g->dead_index, &p))
		if (g->dead[p.row] == state)
			return true;
	return false;
}

static void bury(const struct stock *s, struct stock_search *g)
{
	uint64_t state = state_of(s, g);

	g->dead = mem_grow(g->dead, &g->dead_cap, g->ndead + 1, sizeof *g->dead);
	hash_index_add(&g->dead_index, state, (uint32_t)g->ndead);
	g->dead[g->ndead++] = state;
}

static void forget_dead(struct stock_search *g)
{
	hash_index_clear(&g->dead_index);
	g->ndead = 0;
}

/* ---- lines that no other can hinder */

static void find_hinders(const struct stock *s, struct stock_search *g)
{
	if (g->hinders)
		return;
	g->settled = mem_array(g->n, sizeof *g->settled);
	stock_settle(s, g->all, g->reach, g->op, g->n, g->settled);
	g->hinders = mem_zeroed(g->n * g->words, sizeof *g->hinders);
	for (size_t x = 0; x < g->n; x++)
		for (size_t y = 0; y < g->n; y++)
			if (x != y && stock_reach_hinders(g->all, &g->settled[x], &g->settled[y]))
				g->hinders[x * g->words + y / 64] |= UINT64_C(1) << y % 64;
}

/* Whether no line that is left can hinder it. */
static bool is_safe(const struct stock_search *g, uint32_t at)
{
	const uint64_t *row = g->hinders + at * g->words;

	for (size_t i = 0; i < g->words; i++)
		if (row[i] & g->left[i])
			return false;
	return true;
}

/* ---- looking ahead */

static uint32_t safe_step(struct stock *s, struct stock_search *g)
{
	for (uint32_t at = stock_search_candidate(s, g, 0); at != NONE && g->tries; at = stock_search_candidate(s, g, at + 1)) {
		if (!is_safe(g, at))
			continue;
		g->tries--;
		if (apply_ahead(s, g, at))
			return at;
	}
	return NONE;
}

/* Applies the next line to be tried from a frame; NONE when there is none. */
static uint32_t next_step(struct stock *s, struct stock_search *g, struct stock_search_frame *f)
{
	if (f->tried == 0) {
		uint32_t at = safe_step(s, g);

		f->only = at != NONE;
		f->tried = f->only;
		if (f->only)
			return at;
	}
	if (f->only)
		return NONE;
	for (uint32_t at = stock_search_candidate(s, g, f->tried); at != NONE && g->tries; at = stock_search_candidate(s, g, at + 1)) {
		f->tried = at + 1;
		g->tries--;
		if (apply_ahead(s, g, at))
			return at;
	}
	return NONE;
}

/*
 * Looks for an order of all lines left, from the state in hand, and leaves that as it was. The order
 * is then in g->trial[0..n).
 */
static enum stock_found look_ahead(struct stock *s, struct stock_search *g, size_t n)
{
	size_t depth = 0;

	if (is_dead(s, g) || g->levels.lost)
		return ORDER_NONE;
	g->frame[0] = (struct stock_search_frame){ s->state->nundos, 0, NONE, false };
	while (depth < n && g->tries) {
		struct stock_search_frame *f = &g->frame[depth];

		f->at = next_step(s, g, f);
		if (f->at == NONE) {
			if (!g->tries)
				break;
			bury(s, g);
			if (!depth)
				return ORDER_NONE;
			depth--;
			take_back_ahead(s, g, g->frame[depth].at, g->frame[depth].undo);
			continue;
		}
		if (is_dead(s, g)) {
			take_back_ahead(s, g, f->at, f->undo);
			continue;
		}
		g->trial[depth++] = f->at;
		g->frame[depth] = (struct stock_search_frame){ s->state->nundos, 0, NONE, false };
	}
	for (size_t i = depth; i; i--)
		take_back_ahead(s, g, g->frame[i - 1].at, g->frame[i - 1].undo);
	return depth == n ? ORDER_FOUND : ORDER_UNKNOWN;
}

/* ---- the first order */

/* g->order[depth..n) is a valid rest; puts the line at `at` in front of it. */
static void put_in_front(struct stock_search *g, size_t depth, uint32_t at)
{
	size_t i = depth;

	while (g->order[i] != at)
		i++;
	memmove(g->order + depth + 1, g->order + depth, (i - depth) * sizeof *g->order);
	g->order[depth] = at;
}

/* Whether a valid order goes on with this line, which is applied. The rest of g->order is then one. */
static bool leads_on(struct stock *s, struct stock_search *g, size_t depth, size_t n, uint32_t at)
{
	if (is_safe(g, at)) {
		put_in_front(g, depth, at);
		return true;
	}
	if (look_ahead(s, g, n - depth - 1) != ORDER_FOUND)
		return false;
	g->order[depth] = at;
	memcpy(g->order + depth + 1, g->trial, (n - depth - 1) * sizeof *g->order);
	return true;
}

/* Applies the first line that a valid order can have at `depth`; g->order is a valid one. */
static void first_step(struct stock *s, struct stock_search *g, size_t depth, size_t n)
{
	size_t undo = s->state->nundos;

	for (uint32_t at = stock_search_candidate(s, g, 0); at < g->order[depth]; at = stock_search_candidate(s, g, at + 1)) {
		if (g->alike[at] == g->alike[g->order[depth]] || !g->tries)
			continue;
		g->tries--;
		if (!apply_ahead(s, g, at))
			continue;
		if (leads_on(s, g, depth, n, at))
			return;
		take_back_ahead(s, g, at, undo);
	}
	apply_ahead(s, g, g->order[depth]);
}

enum stock_found stock_search_any(struct stock *s, struct stock_search *g)
{
	size_t n = lines_left(g);
	enum stock_found found;

	if (g->n > SEARCH_LINES)
		return ORDER_UNKNOWN;
	find_hinders(s, g);
	forget_dead(g);
	stock_levels_release(&g->levels);
	stock_levels_init(&g->levels, s, g->all, g->settled, g->op, g->done, g->n, g->free_times);
	found = look_ahead(s, g, n);
	if (found == ORDER_FOUND) {
		memcpy(g->order, g->trial, n * sizeof *g->order);
		g->ordered = n;
	}
	return found;
}

enum stock_found stock_search_first(struct stock *s, struct stock_search *g)
{
	enum stock_found found = stock_search_any(s, g);

	if (found != ORDER_FOUND)
		return found;
	for (size_t depth = 0; depth < g->ordered; depth++)
		first_step(s, g, depth, g->ordered);
	stock_search_back(s, g);
	return ORDER_FOUND;
}
