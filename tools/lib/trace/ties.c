#include "trace/ties.h"

#include <math.h>
#include <stdlib.h>

#include "trace/trace.h"

const char *const tie_words[] = { "handle lot", "lot", "charge", "tree" };

void ties_release(struct ties *ties)
{
	free(ties->tie);
	*ties = (struct ties){ .n = 0 };
}

/* ---- which */

void ties_note(struct ties *ties, enum tie_kind kind, uint32_t id, double share)
{
	if (!id)
		return;
	for (size_t i = 0; i < ties->n; i++)
		if (ties->tie[i].kind == kind && ties->tie[i].id == id) {
			ties->tie[i].share += share;
			return;
		}
	ties->tie = mem_grow(ties->tie, &ties->cap, ties->n + 1, sizeof *ties->tie);
	ties->tie[ties->n++] = (struct tie){ .kind = kind, .id = id, .share = share };
}

static void add_charge(struct ties *ties, const struct trace *t, const struct log_flow *f, double share)
{
	uint32_t to = flow_log_place(&t->log, f->to);

	if (f->change == STOCK_GONE_ON && flow_log_op(&t->log, f)->event->id == EVENT_LOAD && flow_log_place(&t->log, f->from) != to)
		ties_note(ties, TIE_CHARGE, to, share);
}

static void add_step(struct ties *ties, const struct trace *t, const struct log_flow *f, double share)
{
	const struct log_op *op = flow_log_op(&t->log, f);
	struct stock_kind from = flow_log_kind(&t->log, f->from), to = flow_log_kind(&t->log, f->to);
	enum tie_kind lot = to.form == FORM_HANDLE ? TIE_HANDLE : TIE_LOT;

	if (f->change == STOCK_BORN && op->event->id == EVENT_CLEAVE)
		ties_note(ties, TIE_TREE, op->tree, share);
	if (f->change == STOCK_BORN || f->change == STOCK_FOUND || (f->change == STOCK_GONE_ON && from.lot != to.lot))
		ties_note(ties, lot, to.lot, share);
	add_charge(ties, t, f, share);
}

void ties_add(struct ties *ties, const struct trace *t, const struct lineage *way)
{
	for (size_t i = 0; i < way->n; i++)
		add_step(ties, t, &t->log.flow[way->step[i].flow], way->step[i].share);
}

void ties_add_charges(struct ties *ties, const struct trace *t, const struct lineage *way)
{
	for (size_t i = 0; i < way->n; i++)
		add_charge(ties, t, &t->log.flow[way->step[i].flow], way->step[i].share);
}

static int by_share(const struct trace *t, const struct tie *x, const struct tie *y)
{
	if (x->kind != y->kind)
		return x->kind < y->kind ? -1 : 1;
	if (x->share - y->share > 1e-9 || y->share - x->share > 1e-9)
		return x->share > y->share ? -1 : 1;
	return slice_cmp(trace_text(t, x->id), trace_text(t, y->id));
}

/* There are few: a lot is pooled of some dozens. */
void ties_sort(struct ties *ties, const struct trace *t)
{
	for (size_t i = 1; i < ties->n; i++)
		for (size_t k = i; k && by_share(t, &ties->tie[k - 1], &ties->tie[k]) > 0; k--) {
			struct tie other = ties->tie[k];

			ties->tie[k] = ties->tie[k - 1];
			ties->tie[k - 1] = other;
		}
	for (size_t i = 0; i < ties->n; i++)
		ties->tie[i].share = ties->tie[i].share > 1 ? 1 : tie_round(ties->tie[i].share);
}

/* ---- numbers */

double tie_round(double x)
{
	return floor(x * 1e9 + 0.5) / 1e9;
}

void tie_say_number(struct buf *b, double n)
{
	double round = tie_round(n);

	if (round == floor(round))
		buf_printf(b, "%.0f", round);
	else
		buf_printf(b, "about %.1f", round);
}

/* ---- who else */

void tie_kin(struct trace *t, const struct tie *tie)
{
	kin_find(&t->kin, tie->kind == TIE_TREE ? KIN_TREE : tie->kind == TIE_CHARGE ? KIN_CHARGE : KIN_LOT, tie->id);
}

static void count_bat(const struct trace *t, const struct stock_kind *kind, double n, struct tie_counts *c)
{
	size_t backs;

	stated_returns_of(&t->stated, kind->lot, &backs);
	*(kind->place == t->stock->sold ? &c->bats_sold : kind->place == t->stock->culled ? &c->bats_culled : &c->bats_stock) += n;
	if (backs)
		c->bats_back += n;
}

/* ---- handles: a bat can have had several */

/* The lot of the handle that a bat had at the end of a day; 0 for none. */
static uint32_t handle_on(const struct trace *t, uint32_t bat, int32_t day)
{
	size_t n;
	const uint32_t *of = flow_log_to(&t->log, bat, &n);

	while (n-- > 0) {
		const struct log_flow *f = &t->log.flow[of[n]];

		if (f->is_handle && flow_log_op(&t->log, f)->day <= day)
			return flow_log_kind(&t->log, f->from).lot;
	}
	return 0;
}

/* Bats that came back with a handle of the lot. A new handle on the day of the return was put in after it. */
static double backs_with(const struct trace *t, uint32_t lot)
{
	uint32_t last = 0;
	double backs = 0;

	for (size_t i = 0; i < t->stated.nbacks; i++) {
		const struct stated_return *back = &t->stated.back[i];

		if (back->id == last || handle_on(t, back->id, back->day - 1) != lot)
			continue;
		last = back->id;
		backs++;
	}
	return backs;
}

/* Bats that had a handle of the lot, but have one of another now. */
static double refits_of(const struct trace *t, uint32_t lot)
{
	uint32_t last = 0;
	double n = 0;

	for (size_t i = 0; i < t->stated.nbats; i++) {
		const struct stated_bat *bat = &t->stated.bat[i];

		if (bat->handle != lot || bat->id == last || handle_on(t, bat->id, INT32_MAX) == lot)
			continue;
		last = bat->id;
		n++;
	}
	return n;
}

/* Whether bats say that their handle is of this lot, and not of a pool of it. */
static bool is_fitted(const struct trace *t, uint32_t lot)
{
	for (size_t i = 0; i < t->stated.nbats; i++)
		if (t->stated.bat[i].handle == lot)
			return true;
	return false;
}

double tie_bats(const struct tie_counts *c)
{
	return c->bats_stock + c->bats_sold + c->bats_culled + c->bats_refit;
}

static struct tie_counts count(struct trace *t, const struct tie *tie)
{
	struct tie_counts c = { 0 };

	tie_kin(t, tie);
	for (size_t i = 0; i < t->kin.n; i++) {
		const struct kin_heap *heap = &t->kin.heap[i];
		struct stock_kind kind = flow_log_kind(&t->log, heap->heap);
		double n = heap->share * (double)heap->n;

		if (kind.form == FORM_BAT)
			count_bat(t, &kind, n, &c);
		else
			*(kind.place == t->stock->sold ? &c.sold : kind.place == t->stock->culled ? &c.culled : &c.stock) += n;
	}
	if (tie->kind == TIE_HANDLE && is_fitted(t, tie->id)) {
		c.bats_back = backs_with(t, tie->id);
		c.bats_refit = refits_of(t, tie->id);
	}
	return c;
}

void ties_find(struct ties *ties, struct trace *t)
{
	*ties = (struct ties){ .n = 0 };
	if (t->kind == TRACE_CHARGE)
		ties_note(ties, TIE_CHARGE, t->id, 1);
	else if (t->kind == TRACE_TREE)
		ties_note(ties, TIE_TREE, t->id, 1);
	else {
		ties_add(ties, t, &t->wood);
		ties_add(ties, t, &t->handle);
	}
	ties_sort(ties, t);
	for (size_t i = 0; i < ties->n; i++)
		ties->tie[i].counts = count(t, &ties->tie[i]);
}
