#include "stock/stock_settle.h"

#include <stdlib.h>

#include "stock/stock_internal.h"

enum { KINDS_MOST = 256 };

struct kinds {
	struct stock_kind v[KINDS_MOST];
	size_t n;
	bool full;           /* there are more: nothing is settled */
};

static bool is_known(const struct kinds *kinds, const struct stock_kind *k)
{
	for (size_t i = 0; i < kinds->n; i++)
		if (stock_same_kind(&kinds->v[i], k))
			return true;
	return false;
}

static void add_kind(struct kinds *kinds, const struct stock_kind *k)
{
	if (is_known(kinds, k))
		return;
	if (kinds->n == KINDS_MOST)
		kinds->full = true;
	else
		kinds->v[kinds->n++] = *k;
}

/* ---- what there is */

static void add_held(const struct stock *s, struct kinds *kinds, const struct stock_kind *pattern)
{
	const struct stock_state *r = s->state;

	if (r->index || pattern->lot == STOCK_ANY) {
		kinds->full = true; /* too many to look at */
		return;
	}
	for (uint32_t i = r->id[pattern->lot].of_lot; i; i = r->spot[i - 1].of_lot.next)
		for (uint32_t b = r->spot[i - 1].first; b; b = r->bucket[b - 1].next)
			if (r->bucket[b - 1].n > 0 && stock_kinds_meet(s, &r->bucket[b - 1].kind, pattern))
				add_kind(kinds, &r->bucket[b - 1].kind);
}

/* Pieces that come in, or that a count finds where there are none. */
static void add_new(const struct stock *s, const struct stock_reaches *all, struct kinds *kinds, const struct stock_reach *r, const struct stock_op *op)
{
	struct stock_kind k = { .lot = op->lot, .place = op->at, .type = op->type, .grade = op->grade == STOCK_ANY ? 0 : op->grade,
		.class = op->class == STOCK_ANY ? 0 : op->class, .form = op->form };

	if (op->event->stock.take == TAKE_NONE)
		for (uint32_t i = 0; i < r->ngives; i++)
			add_kind(kinds, &all->pattern[r->first + r->nlooks + i]);
	if (op->found && op->form >= 0 && op->type != STOCK_ANY) {
		add_kind(kinds, &k);
		for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++) {
			struct stock_kind to = stock_becomes(op, &s->item[i], k);

			add_kind(kinds, &to);
		}
	}
}

/* ---- what the lines make of it */

static void add_made(const struct stock *s, struct kinds *kinds, const struct stock_op *op, struct stock_kind from)
{
	struct stock_kind to = from;

	if (op->event->stock.number == NUMBER_CULL)
		return;
	if (op->event->stock.take == TAKE_LOTS) {
		to.lot = op->subject;
		add_kind(kinds, &to);
	} else if (op->event->stock.take == TAKE_PAIR) {
		to = (struct stock_kind){ .lot = op->subject, .place = op->at, .type = from.type, .grade = from.grade, .class = from.class, .form = FORM_BAT };
		add_kind(kinds, &to);
	} else if (!op->counted) {
		to = stock_becomes(op, NULL, from);
		add_kind(kinds, &to);
	} else
		for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++) {
			to = stock_becomes(op, &s->item[i], from);
			add_kind(kinds, &to);
		}
}

static bool looks_at(const struct stock *s, const struct stock_reaches *all, const struct stock_reach *r, const struct stock_kind *k)
{
	for (uint32_t i = 0; i < r->nlooks; i++)
		if (stock_kinds_meet(s, &all->pattern[r->first + i], k))
			return true;
	return false;
}

static void find_kinds(const struct stock *s, const struct stock_reaches *all, const struct stock_reach *reach, const uint32_t *op, size_t n,
	struct kinds *kinds)
{
	kinds->n = 0;
	kinds->full = false;
	for (size_t i = 0; i < n; i++) {
		for (uint32_t k = 0; k < reach[i].nlooks; k++)
			add_held(s, kinds, &all->pattern[reach[i].first + k]);
		add_new(s, all, kinds, &reach[i], &s->op[op[i]]);
	}
	for (size_t k = 0; k < kinds->n && !kinds->full; k++)
		for (size_t i = 0; i < n; i++)
			if (looks_at(s, all, &reach[i], &kinds->v[k]))
				add_made(s, kinds, &s->op[op[i]], kinds->v[k]);
}

/* ---- settling */

/* The one kind that the line can look at; NULL if there are none or several. */
static const struct stock_kind *only_kind(const struct stock *s, const struct stock_reaches *all, const struct stock_reach *r, const struct kinds *kinds)
{
	const struct stock_kind *only = NULL;

	for (size_t i = 0; i < kinds->n; i++) {
		if (!looks_at(s, all, r, &kinds->v[i]))
			continue;
		if (only)
			return NULL;
		only = &kinds->v[i];
	}
	return only;
}

static void push(struct stock_reaches *all, struct stock_kind k)
{
	all->pattern = mem_grow(all->pattern, &all->patterns_cap, all->npatterns + 1, sizeof *all->pattern);
	all->pattern[all->npatterns++] = k;
}

static struct stock_reach settle_one(const struct stock *s, struct stock_reaches *all, const struct stock_reach *r, const struct stock_op *op,
	const struct stock_kind *only)
{
	struct stock_reach to = *r;

	to.first = (uint32_t)all->npatterns;
	to.nlooks = 1;
	to.open = op->event->stock.number == NUMBER_TALLY;
	push(all, *only);
	for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++)
		push(all, stock_becomes(op, &s->item[i], *only));
	if (!op->counted && op->event->stock.number != NUMBER_CULL)
		push(all, stock_becomes(op, NULL, *only));
	to.ngives = (uint32_t)all->npatterns - to.first - 1;
	return to;
}

void stock_settle(const struct stock *s, struct stock_reaches *all, const struct stock_reach *reach, const uint32_t *op, size_t n,
	struct stock_reach *settled)
{
	struct kinds *kinds = mem_array(1, sizeof *kinds);

	find_kinds(s, all, reach, op, n, kinds);
	for (size_t i = 0; i < n; i++) {
		const struct stock_kind *only = kinds->full || s->op[op[i]].event->stock.take != TAKE_PICK ? NULL : only_kind(s, all, &reach[i], kinds);

		settled[i] = only ? settle_one(s, all, &reach[i], &s->op[op[i]], only) : reach[i];
	}
	free(kinds);
}
