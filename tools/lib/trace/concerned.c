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
	free(c->line);
	*c = (struct concerned){ .n = 0 };
}

/* What a line says that may matter: ids, 0 for none. */
struct lot_line {
	uint32_t lot;              /* what it is about, or makes */
	uint32_t tree, at, into;   /* of two places those that may be a charge */
	uint32_t blade;            /* the thing's lot, of which it makes a bat */
	bool load;
};

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

/* A place that may be a charge which concerns the thing: one that was loaded, whose pieces went into one unnamed, or the thing itself. */
static uint32_t charge_of(const struct stock *s, uint32_t place, uint32_t id)
{
	return place != STOCK_ANY && (place == id || stock_said_of(s, place) & (STOCK_SAID_CHARGE | STOCK_SAID_ALONE)) ? place : 0;
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

/* Whether pieces come to be, or are, in a charge that is marked. */
static bool is_at(const struct concerned *c, const struct lot_line *l, int what)
{
	return is(c, l->into, what) || is(c, l->at, what);
}

/* ---- from lot to lot */

static void add_join(struct concerned *c, uint32_t from, uint32_t to)
{
	if (!from || from == STOCK_ANY || from == to)
		return;
	c->join = mem_grow(c->join, &c->joins_cap, c->njoins + 1, sizeof *c->join);
	c->join[c->njoins++] = (struct lot_join){ from, to };
}

static void add_joins(struct concerned *c, const struct stock_op *op, const struct stock_items *items)
{
	if (is_pair(op)) {
		add_join(c, op->blade, op->subject);
		add_join(c, op->handle, op->subject);
	} else if (op->event->stock.take == TAKE_LOTS)
		for (uint32_t k = op->counts; k < op->counts + op->ncounts; k++)
			add_join(c, items->v[k].word, op->lot);
}

static void add_line(struct concerned *c, const struct stock *s, const struct stock_op *op, uint32_t id, uint32_t lot)
{
	struct lot_line line = { lot_of(op), tree_of(op), charge_of(s, op->at, id), charge_of(s, op->into, id),
		lot != id && is_pair(op) && op->blade == lot ? lot : 0, op->event->id == EVENT_LOAD };

	if (!(line.tree | line.at | line.into | line.blade) && !line.load)
		return;
	c->line = mem_grow(c->line, &c->lines_cap, c->nlines + 1, sizeof *c->line);
	c->line[c->nlines++] = line;
}

/* The lines are gone through once: most of them say nothing that may matter. */
static void find_lines(struct concerned *c, const struct stock *s, uint32_t id, uint32_t lot)
{
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;

	while ((op = stock_walk_next(&walk))) {
		add_joins(c, op, &walk.items);
		add_line(c, s, op, id, lot);
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
static void mark_own(struct concerned *c, uint32_t id, uint32_t lot, bool charge)
{
	mark(c, lot, CONCERNED_BACK);
	mark(c, id, CONCERNED_BACK | CONCERNED_TREE | (charge ? CONCERNED_CHARGE : 0));
	for (const struct lot_line *l = c->line; l < c->line + c->nlines; l++)
		if (is(c, l->tree, CONCERNED_TREE) || is_at(c, l, CONCERNED_CHARGE) || l->blade)
			mark(c, l->lot, CONCERNED_BACK);
}

/* The trees that lots are from, and the charges that they were in. A line may not name its lot. */
static void mark_sources(struct concerned *c)
{
	for (const struct lot_line *l = c->line; l < c->line + c->nlines; l++) {
		if (l->lot && !is(c, l->lot, CONCERNED_BACK))
			continue;
		if (l->load)
			mark(c, l->into, CONCERNED_CHARGE);
		mark(c, l->tree, CONCERNED_TREE);
	}
}

/* False when a charge was found whose unnamed lots went into another one. */
static bool mark_sharing(struct concerned *c)
{
	bool all = true;

	for (const struct lot_line *l = c->line; l < c->line + c->nlines; l++) {
		if (!is(c, l->tree, CONCERNED_TREE) && !is_at(c, l, CONCERNED_CHARGE))
			continue;
		mark(c, l->lot, CONCERNED_LOT);
		if (!l->lot && is(c, l->into, CONCERNED_CHARGE) && l->at && !is(c, l->at, CONCERNED_CHARGE)) {
			mark(c, l->at, CONCERNED_CHARGE);
			all = false;
		}
	}
	return all;
}

void concerned_find(struct concerned *c, const struct stock *s, struct slice thing, bool charge)
{
	uint32_t id = intern_find(&s->ids, thing), lot = intern_find(&s->ids, slice_upto(thing, slice_find(thing, '/')));

	c->n = s->ids.n;
	c->is = mem_zeroed(c->n, 1);
	find_lines(c, s, id, lot);
	mark_own(c, id, lot, charge);
	follow_back(c, CONCERNED_BACK);
	mark_sources(c);
	for (uint32_t i = 1; i < c->n; i++)
		if (c->is[i] & CONCERNED_BACK)
			mark(c, i, CONCERNED_LOT);
	while (!mark_sharing(c))
		;
	follow_on(c, CONCERNED_LOT);
	free(c->join);
	free(c->line);
	c->join = NULL;
	c->line = NULL;
	c->njoins = c->joins_cap = c->nlines = c->lines_cap = 0;
}
