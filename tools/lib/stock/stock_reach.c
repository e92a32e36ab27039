#include "stock/stock_reach.h"

#include <stdlib.h>

#include "stock/stock_internal.h"

void stock_reaches_release(struct stock_reaches *all)
{
	free(all->pattern);
	memset(all, 0, sizeof *all);
}

static void add(struct stock_reaches *all, struct stock_kind pattern)
{
	all->pattern = mem_grow(all->pattern, &all->patterns_cap, all->npatterns + 1, sizeof *all->pattern);
	all->pattern[all->npatterns++] = pattern;
}

/* Any pieces of that form, in stock. */
static struct stock_kind any_of(uint32_t lot, uint32_t place, int32_t form)
{
	return (struct stock_kind){ .lot = lot, .place = place, .type = STOCK_ANY, .grade = STOCK_ANY, .class = STOCK_ANY, .form = form };
}

static struct stock_kind selected(const struct stock *s, const struct stock_op *op)
{
	bool sold = op->event->stock.take == TAKE_SOLD;

	return (struct stock_kind){ .lot = op->lot, .place = sold ? s->sold : op->at, .type = op->type, .grade = op->grade, .class = op->class,
		.party = sold ? op->party : 0, .form = op->form };
}

/* A charge's line that names no lot is about each of its lots. */
static void add_for_lots(struct stock_reaches *all, struct stock_kind k, const uint32_t *lots, size_t n)
{
	if (k.lot != STOCK_ANY)
		add(all, k);
	else
		for (size_t i = 0; i < n; i++) {
			k.lot = lots[i];
			add(all, k);
		}
}

/* ---- looks */

/* A blade and a handle; or the bat, and the handle that it gets, of which type= may say more. */
static void add_pair(const struct stock *s, struct stock_reaches *all, const struct stock_op *op)
{
	struct stock_kind blade = selected(s, op), handle = any_of(op->handle, op->at, FORM_HANDLE);

	blade.lot = op->blade;
	blade.form = FORM_BLADE;
	if (stock_op_refits(op)) {
		blade = any_of(op->subject, op->at, FORM_BAT);
		handle.type = op->type;
	}
	add(all, blade);
	add(all, handle);
}

static void add_looks(const struct stock *s, struct stock_reaches *all, const struct stock_op *op, const uint32_t *lots, size_t n)
{
	struct stock_kind k = selected(s, op);

	switch (op->event->stock.take) {
	case TAKE_NONE:
		break;
	case TAKE_PICK:
	case TAKE_SOLD:
		add_for_lots(all, k, lots, n);
		if (op->found && (op->form < 0 || op->form == FORM_BAT))
			add(all, any_of(op->lot, STOCK_ANY, FORM_BAT));
		break;
	case TAKE_LOTS:
		for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++) {
			k.lot = s->item[i].word;
			add(all, k);
		}
		break;
	case TAKE_PAIR:
		add_pair(s, all, op);
		break;
	}
}

/* ---- gives */

/* What pieces of the pattern become by an item of count=, or without one. */
static struct stock_kind given(const struct stock *s, const struct stock_op *op, const struct stock_item *item)
{
	return stock_becomes(op, item, selected(s, op));
}

/* A line that creates a lot has no pieces to take type and grade from: a missing one is none. */
static struct stock_kind born(const struct stock *s, const struct stock_op *op, const struct stock_item *item)
{
	struct stock_kind k = given(s, op, item);

	k.type = item->type == STOCK_ANY ? 0 : item->type;
	k.grade = item->grade == STOCK_ANY ? 0 : item->grade;
	k.class = item->class == STOCK_ANY ? 0 : item->class;
	return k;
}

static void add_gives_of_counts(const struct stock *s, struct stock_reaches *all, const struct stock_op *op, const uint32_t *lots, size_t n)
{
	bool is_born = op->event->stock.take == TAKE_NONE;

	for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++)
		add_for_lots(all, is_born ? born(s, op, &s->item[i]) : given(s, op, &s->item[i]), lots, n);
	if (!op->counted && op->event->stock.number != NUMBER_CULL)
		add_for_lots(all, given(s, op, NULL), lots, n);
}

static void add_gives(const struct stock *s, struct stock_reaches *all, const struct stock_op *op, const uint32_t *lots, size_t n)
{
	struct stock_kind k = selected(s, op);

	if (stock_op_refits(op))
		return; /* the bat stays as it is */
	if (op->event->stock.take == TAKE_LOTS) {
		k.lot = op->subject;
		add(all, k);
	} else if (op->event->stock.take == TAKE_PAIR) {
		k.lot = op->subject;
		k.form = FORM_BAT;
		add(all, k);
	} else
		add_gives_of_counts(s, all, op, lots, n);
}

/* ---- a line */

static bool is_open(const struct stock_kind *k)
{
	return k->lot == STOCK_ANY || k->place == STOCK_ANY || k->type == STOCK_ANY || k->grade == STOCK_ANY || k->class == STOCK_ANY
		|| k->party == STOCK_ANY || k->form < 0;
}

static bool relabels(const struct stock *s, const struct stock_op *op)
{
	for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++)
		if (s->item[i].type != STOCK_ANY || s->item[i].grade != STOCK_ANY || s->item[i].class != STOCK_ANY)
			return true;
	return false;
}

struct stock_reach stock_reach_of(const struct stock *s, struct stock_reaches *all, const struct stock_op *op, const uint32_t *lots, size_t n)
{
	bool counts = op->event->stock.number == NUMBER_TALLY, pool = op->event->stock.take == TAKE_LOTS;
	struct stock_reach r = { .first = (uint32_t)all->npatterns, .open = counts || pool || op->lot == STOCK_ANY };

	if (op->event->stock.take == TAKE_NONE || op->found)
		r.creates = op->lot;
	else if (pool || (op->event->stock.take == TAKE_PAIR && !stock_op_refits(op)))
		r.creates = op->subject;
	add_looks(s, all, op, lots, n);
	r.nlooks = (uint32_t)all->npatterns - r.first;
	add_gives(s, all, op, lots, n);
	r.ngives = (uint32_t)all->npatterns - r.first - r.nlooks;
	for (uint32_t i = r.first; i < r.first + r.nlooks; i++)
		r.open |= is_open(&all->pattern[i]);
	r.chooses = op->event->stock.take == TAKE_PAIR;
	r.still = counts && !op->found && !op->nculls && !relabels(s, op);
	return r;
}

/* ---- two lines */

/* Pieces that were sold are in no batch but for the lines that look for them. */
static bool places_fit(const struct stock *s, uint32_t a, uint32_t b)
{
	if ((a == s->sold) != (b == s->sold))
		return false;
	return a == b || a == STOCK_ANY || b == STOCK_ANY;
}

static bool fits(uint32_t a, uint32_t b)
{
	return a == b || a == STOCK_ANY || b == STOCK_ANY;
}

bool stock_kinds_meet(const struct stock *s, const struct stock_kind *a, const struct stock_kind *b)
{
	return fits(a->lot, b->lot) && places_fit(s, a->place, b->place) && fits(a->type, b->type) && fits(a->grade, b->grade)
		&& fits(a->class, b->class) && fits(a->party, b->party) && (a->form == b->form || a->form < 0 || b->form < 0);
}

static bool any_meet(const struct stock *s, const struct stock_kind *a, size_t na, const struct stock_kind *b, size_t nb)
{
	for (size_t i = 0; i < na; i++)
		for (size_t k = 0; k < nb; k++)
			if (stock_kinds_meet(s, &a[i], &b[k]))
				return true;
	return false;
}

bool stock_reach_gives(const struct stock_reaches *all, const struct stock_reach *x, const struct stock_reach *y)
{
	return any_meet(all->stock, all->pattern + x->first + x->nlooks, x->ngives, all->pattern + y->first, y->nlooks);
}

bool stock_reach_shares(const struct stock_reaches *all, const struct stock_reach *x, const struct stock_reach *y)
{
	return any_meet(all->stock, all->pattern + x->first, x->nlooks, all->pattern + y->first, y->nlooks);
}

static bool create_one_lot(const struct stock_reach *x, const struct stock_reach *y)
{
	return x->creates && x->creates == y->creates;
}

bool stock_reach_meets(const struct stock_reaches *all, const struct stock_reach *x, const struct stock_reach *y)
{
	return create_one_lot(x, y) || stock_reach_shares(all, x, y) || stock_reach_gives(all, x, y) || stock_reach_gives(all, y, x);
}

/*
 * A line that chooses takes another batch once others took from what it looks at. Any other line x takes from one batch, and
 * from the same one later as now, as long as no line gives to what it looks at. Lines that look at one batch alone still find
 * enough there: together they left enough for x.
 */
bool stock_reach_hinders(const struct stock_reaches *all, const struct stock_reach *x, const struct stock_reach *y)
{
	if (x->still)
		return false;
	if (create_one_lot(x, y) || stock_reach_gives(all, y, x))
		return true;
	if (x->chooses && stock_reach_shares(all, x, y))
		return true;
	return y->open && (stock_reach_shares(all, x, y) || stock_reach_gives(all, x, y));
}
