#include "trace/concerned.h"

#include <stdlib.h>

#include "stock/stock.h"

/* Pieces of `from` can become pieces of `to`. */
struct lot_join {
	uint32_t from, to;
};

void concerned_release(struct concerned *c)
{
	free(c->is);
	free(c->join);
	*c = (struct concerned){ .n = 0 };
}

/* ---- what a line says */

static bool is_pair(const struct stock_op *op)
{
	return op->event->stock.take == TAKE_PAIR;
}

static uint32_t tree_of(const struct stock_op *op)
{
	return op->event->stock.take == TAKE_SOLD || op->event->stock.give == GIVE_SOLD ? 0 : op->tree;
}

/* The lot that the line is about, or makes; 0 where it does not name it. */
static uint32_t lot_of(const struct stock_op *op)
{
	return is_pair(op) ? op->subject : op->lot == STOCK_ANY ? 0 : op->lot;
}

/* Where pieces come to be, or are; neither is named in many lines. */
static bool is_at(const struct concerned *c, const struct stock_op *op, int what)
{
	return (op->into < c->n && c->is[op->into] & what) || (op->at < c->n && c->is[op->at] & what);
}

static bool is(const struct concerned *c, uint32_t id, int what)
{
	return id && id < c->n && (c->is[id] & what);
}

static void mark(struct concerned *c, uint32_t id, int what)
{
	if (id && id < c->n)
		c->is[id] = (uint8_t)(c->is[id] | what);
}

/* ---- from lot to lot */

static void add_join(struct concerned *c, uint32_t from, uint32_t to)
{
	if (!from || from == STOCK_ANY || from == to)
		return;
	c->join = mem_grow(c->join, &c->joins_cap, c->njoins + 1, sizeof *c->join);
	c->join[c->njoins++] = (struct lot_join){ from, to };
}

static void find_joins(struct concerned *c, const struct stock *s)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;

	while ((op = stock_walk_next(&walk))) {
		if (is_pair(op)) {
			add_join(c, op->blade, op->subject);
			add_join(c, op->handle, op->subject);
		} else if (op->event->stock.take == TAKE_LOTS)
			for (uint32_t k = op->counts; k < op->counts + op->ncounts; k++)
				add_join(c, walk.items.v[k].word, op->lot);
	}
	stock_walk_release(&walk);
}

/* Lines mostly come in the order of their days, so that few rounds are needed. */
static void follow_back(struct concerned *c, int what)
{
	for (bool more = true; more;) {
		more = false;
		for (size_t i = c->njoins; i-- > 0;)
			if (is(c, c->join[i].to, what) && !is(c, c->join[i].from, what)) {
				mark(c, c->join[i].from, what);
				more = true;
			}
	}
}

static void follow_on(struct concerned *c, int what)
{
	for (bool more = true; more;) {
		more = false;
		for (size_t i = 0; i < c->njoins; i++)
			if (is(c, c->join[i].from, what) && !is(c, c->join[i].to, what)) {
				mark(c, c->join[i].to, what);
				more = true;
			}
	}
}

/* ---- the thing, what it is from, and what shares that */

/* A tree's lots, a charge's, and bats of a lot whose piece is asked about. */
static void mark_own(struct concerned *c, const struct stock *s, uint32_t id, uint32_t lot, bool charge)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;

	mark(c, lot, CONCERNED_BACK);
	mark(c, id, CONCERNED_BACK | CONCERNED_TREE | (charge ? CONCERNED_CHARGE : 0));
	while ((op = stock_walk_next(&walk))) {
		if (is(c, tree_of(op), CONCERNED_TREE) || is_at(c, op, CONCERNED_CHARGE) || (lot != id && is_pair(op) && op->blade == lot))
			mark(c, lot_of(op), CONCERNED_BACK);
	}
	stock_walk_release(&walk);
}

/* The trees that lots are from, and the charges that they were in. A line may not name its lot. */
static void mark_sources(struct concerned *c, const struct stock *s)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;

	while ((op = stock_walk_next(&walk))) {
		if (lot_of(op) && !is(c, op->lot, CONCERNED_BACK))
			continue;
		if (op->event->id == EVENT_LOAD)
			mark(c, op->into, CONCERNED_CHARGE);
		mark(c, tree_of(op), CONCERNED_TREE);
	}
	stock_walk_release(&walk);
}

/* False when a charge was found whose unnamed lots went into another one. */
static bool mark_sharing(struct concerned *c, const struct stock *s)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;
	bool all = true;

	while ((op = stock_walk_next(&walk))) {
		if (!is(c, tree_of(op), CONCERNED_TREE) && !is_at(c, op, CONCERNED_CHARGE))
			continue;
		mark(c, lot_of(op), CONCERNED_LOT);
		if (!lot_of(op) && is(c, op->into, CONCERNED_CHARGE) && op->at != STOCK_ANY && !is(c, op->at, CONCERNED_CHARGE)) {
			mark(c, op->at, CONCERNED_CHARGE);
			all = false;
		}
	}
	stock_walk_release(&walk);
	return all;
}

void concerned_find(struct concerned *c, const struct stock *s, struct slice thing, bool charge)
{
	uint32_t id = intern_find(&s->ids, thing), lot = intern_find(&s->ids, slice_upto(thing, slice_find(thing, '/')));

	c->n = s->ids.n;
	c->is = mem_zeroed(c->n, 1);
	find_joins(c, s);
	mark_own(c, s, id, lot, charge);
	follow_back(c, CONCERNED_BACK);
	mark_sources(c, s);
	for (uint32_t i = 1; i < c->n; i++)
		if (c->is[i] & CONCERNED_BACK)
			mark(c, i, CONCERNED_LOT);
	while (!mark_sharing(c, s))
		;
	follow_on(c, CONCERNED_LOT);
	free(c->join);
	c->join = NULL;
	c->njoins = c->joins_cap = 0;
}
