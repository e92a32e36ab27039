#include <stdlib.h>

#include "base/mem.h"
#include "book/diag.h"
#include "stock/stock_internal.h"

enum { HINT_MOST = 4 };

/* ---- running the days */

struct dated {
	int32_t day;
	uint32_t op;
};

static int by_day(const void *a, const void *b)
{
	const struct dated *x = a, *y = b;

	if (x->day != y->day)
		return x->day < y->day ? -1 : 1;
	return (x->op > y->op) - (x->op < y->op);
}

static void sort_by_days(const struct stock *s, uint32_t *order, size_t n)
{
	struct dated *dated = mem_array(n, sizeof *dated);

	for (size_t i = 0; i < n; i++)
		dated[i] = (struct dated){ s->op[order[i]].day, order[i] };
	qsort(dated, n, sizeof *dated, by_day);
	for (size_t i = 0; i < n; i++)
		order[i] = dated[i].op;
	free(dated);
}

/* The ops in the order of their days; books mostly stand in it already. */
static uint32_t *by_days(const struct stock *s, size_t *n)
{
	uint32_t *order = mem_array(s->nops, sizeof *order);
	bool sorted = true;
	size_t k = 0;

	for (uint32_t i = 0; i < s->nops; i++) {
		if (s->op[i].skipped)
			continue;
		sorted &= k == 0 || s->op[order[k - 1]].day <= s->op[i].day;
		order[k++] = i;
	}
	if (!sorted)
		sort_by_days(s, order, k);
	*n = k;
	return order;
}

/* The lots given to stock_doubt() share one fault that is never told. */
static void open_doubts(struct stock *s)
{
	struct stock_state *r = s->state;

	if (!s->ndoubts)
		return;
	r->fault = mem_grow(r->fault, &r->faults_cap, r->nfaults + 1, sizeof *r->fault);
	r->fault[r->nfaults++] = (struct stock_fault){ .why = WHY_REPORTED };
	for (size_t i = 0; i < s->ndoubts; i++)
		r->id[s->doubt[i]].fault = 1;
}

static void open_state(struct stock *s, stock_sink *sink, void *context)
{
	s->state = mem_zeroed(1, sizeof *s->state);
	s->state->nids = s->ids.n;
	s->state->id = mem_zeroed(s->state->nids, sizeof *s->state->id);
	s->state->sink = sink;
	s->state->context = context;
	stock_open_spots(s);
	open_doubts(s);
}

void stock_run(struct stock *s, int32_t last_day, stock_sink *sink, void *context)
{
	size_t n;
	uint32_t *order = by_days(s, &n);
	struct stock_days *days = stock_days_new();

	open_state(s, sink, context);
	for (size_t i = 0, k; i < n && s->op[order[i]].day <= last_day; i = k) {
		for (k = i; k < n && s->op[order[k]].day == s->op[order[i]].day; k++)
			;
		stock_day(s, days, order + i, k - i);
	}
	stock_days_free(days);
	free(order);
}

/* ---- saying what did not add up */

static void add_kind(const struct stock *s, struct buf *out, const struct stock_kind *k)
{
	buf_add(out, vocab_form(k->form));
	if (k->type) {
		buf_char(out, ' ');
		buf_add(out, stock_text(s, k->type));
	}
	if (k->grade) {
		buf_str(out, " grade ");
		buf_add(out, stock_text(s, k->grade));
	}
}

static struct slice place_word(const struct stock *s, uint32_t place)
{
	return place == s->sold ? SLICE("the customer's") : stock_text(s, place);
}

/* Those not sold first, then by what they are and where, so that the input's order does not show. */
static int by_holding(const struct stock *s, const struct stock_kind *a, const struct stock_kind *b)
{
	const uint32_t x[] = { a->place, a->lot, a->type, a->grade }, y[] = { b->place, b->lot, b->type, b->grade };
	int order = (a->place == s->sold) - (b->place == s->sold);

	for (size_t i = 0; !order && i < 4; i++)
		order = slice_cmp(stock_text(s, x[i]), stock_text(s, y[i]));
	return order ? order : (a->form > b->form) - (a->form < b->form);
}

/* Whether a sort helps with a fault: where several fit, one of those; else any. */
static bool helps(const struct stock *s, const struct stock_fault *f, const struct stock_kind *k)
{
	const struct stock_op *op = &s->op[f->op];

	if (f->why != WHY_AMBIGUOUS)
		return true;
	if (op->at == STOCK_ANY ? k->place == s->sold : k->place != op->at)
		return false;
	return op->event->stock.take != TAKE_PICK || ((op->form < 0 || k->form == op->form)
		&& (op->type == STOCK_ANY || k->type == op->type) && (op->grade == STOCK_ANY || k->grade == op->grade));
}

/* Puts a bucket among the first HINT_MOST, of which there are `n` or more. */
static void put_holding(const struct stock *s, const struct stock_bucket *first[HINT_MOST], size_t n, const struct stock_bucket *bucket)
{
	size_t at = n < HINT_MOST ? n : HINT_MOST;

	for (; at && by_holding(s, &bucket->kind, &first[at - 1]->kind) < 0; at--)
		if (at < HINT_MOST)
			first[at] = first[at - 1];
	if (at < HINT_MOST)
		first[at] = bucket;
}

/* What the fault's lot has anywhere, or with STOCK_ANY for the lot what a place holds; how many sorts that is. */
static size_t find_holdings(const struct stock *s, const struct stock_fault *f, const struct stock_bucket *first[HINT_MOST])
{
	const struct stock_state *r = s->state;
	uint32_t lot = f->lot, place = s->op[f->op].at;
	bool by_lot = lot != STOCK_ANY;
	const uint32_t ids[STOCK_LISTS] = { lot, by_lot ? STOCK_ANY : place, STOCK_ANY, STOCK_ANY };
	size_t n = 0;
	int list = 0;

	for (uint32_t i = r->index ? stock_index_shortest(r, ids, &list) : 0; i; i = stock_index_next(r, i, list))
		if (helps(s, f, &r->bucket[i - 1].kind))
			put_holding(s, first, n++, &r->bucket[i - 1]);
	if (r->index)
		return n;
	for (uint32_t i = by_lot ? r->id[lot].of_lot : r->id[place].of_place; i;
			i = by_lot ? r->spot[i - 1].next_of_lot : r->spot[i - 1].next_of_place)
		for (uint32_t b = r->spot[i - 1].first; b; b = r->bucket[b - 1].next)
			if (r->bucket[b - 1].n > 0 && helps(s, f, &r->bucket[b - 1].kind))
				put_holding(s, first, n++, &r->bucket[b - 1]);
	return n;
}

/* "35 cleft SH at yard/b1", or of a place "35 of L061 cleft SH"; how many sorts there were. */
static size_t add_holdings(const struct stock *s, struct buf *out, const struct stock_fault *f)
{
	const struct stock_bucket *first[HINT_MOST];
	size_t n = find_holdings(s, f, first);
	uint32_t lot = f->lot;

	for (size_t i = 0; i < n && i < HINT_MOST; i++) {
		buf_str(out, i ? ", " : "");
		buf_int(out, first[i]->n);
		if (lot == STOCK_ANY) {
			buf_str(out, " of ");
			buf_add(out, stock_text(s, first[i]->kind.lot));
		}
		buf_char(out, ' ');
		add_kind(s, out, &first[i]->kind);
		if (lot != STOCK_ANY) {
			buf_str(out, " at ");
			buf_add(out, place_word(s, first[i]->kind.place));
		}
	}
	if (n > HINT_MOST)
		buf_str(out, " and more");
	return n;
}

void stock_hint(struct stock *s, struct stock_fault *f)
{
	struct buf *out = &s->state->hints;

	f->hint = out->n;
	if (f->lot && (f->lot != STOCK_ANY || s->op[f->op].at != STOCK_ANY)) {
		size_t n;

		buf_str(out, "the book has ");
		n = add_holdings(s, out, f);
		if (n == 1 && f->why == WHY_TALLY)
			out->n = f->hint; /* the message has said so */
		if (!n) {
			out->n = f->hint;
			buf_str(out, f->lot == STOCK_ANY ? "the book has no pieces there" : "none is left, or none has come in yet");
		}
	}
	f->hint_n = out->n - f->hint;
}

static int rule_of(const struct stock_fault *f)
{
	switch (f->why) {
	case WHY_NOTHING:
	case WHY_REPORTED:
	case WHY_SHORT:
		return f->order ? RULE_STOCK_ORDER : RULE_STOCK_SHORT;
	case WHY_ABSENT:
		return f->order ? RULE_STOCK_ORDER : RULE_STOCK_ABSENT;
	case WHY_AMBIGUOUS:
		return RULE_STOCK_AMBIGUOUS;
	case WHY_TALLY:
		return f->order ? RULE_STOCK_ORDER : RULE_TALLY_SUM;
	case WHY_TALLY_UNKNOWN:
		return RULE_TALLY_UNKNOWN;
	case WHY_AGAIN:
		return RULE_LOT_AGAIN;
	case WHY_NO_COUNT:
		return RULE_COUNT_MISSING;
	case WHY_NO_INTO:
		return RULE_INTO_MISSING;
	case WHY_NOT_SOLD:
		return RULE_BAT_NOT_SOLD;
	}
	return RULE_STOCK_SHORT;
}

static void add_what(const struct stock *s, struct buf *out, const struct stock_op *op, const struct stock_fault *f)
{
	uint32_t lot = f->lot && f->lot != STOCK_ANY ? f->lot : op->subject;

	buf_add(out, stock_text(s, lot));
	if (op->event->stock.take != TAKE_PICK)
		return;
	if (op->form >= 0) {
		buf_char(out, ' ');
		buf_add(out, vocab_form(op->form));
	}
	if (op->type != STOCK_ANY && op->type) {
		buf_char(out, ' ');
		buf_add(out, stock_text(s, op->type));
	}
	if (op->grade == 0)
		buf_str(out, " ungraded");
	else if (op->grade != STOCK_ANY) {
		buf_str(out, " grade ");
		buf_add(out, stock_text(s, op->grade));
	}
}

static void tell_one(struct stock *s, struct diags *d, const struct stock_fault *f)
{
	const struct stock_op *op = &s->op[f->op];
	bool by_count = op->count_col && (f->why == WHY_SHORT || f->why == WHY_TALLY);
	struct place place = { op->file, by_count ? op->count_col : op->whose_col,
		by_count ? op->count_end : op->whose_end, op->line };
	struct buf what = BUF_INIT, have = BUF_INIT, need = BUF_INIT, hint = BUF_INIT;

	add_what(s, &what, op, f);
	buf_int(&have, f->have);
	buf_int(&need, f->need);
	buf_add(&hint, slice_upto(slice_from(buf_slice(&s->state->hints), f->hint), f->hint_n));
	if (f->later)
		buf_printf(&hint, "%s%zu later line%s cannot be checked until this is fixed", hint.n ? "; " : "", f->later,
			f->later == 1 ? "" : "s");
	DIAG(d, rule_of(f), place, buf_slice(&what), buf_slice(&have), buf_slice(&need),
		op->at == STOCK_ANY ? SLICE("any place") : stock_text(s, op->at), buf_slice(&hint));
	buf_release(&what);
	buf_release(&have);
	buf_release(&need);
	buf_release(&hint);
}

size_t stock_tell(struct stock *s, struct diags *d)
{
	size_t lines = 0;

	for (size_t i = 0; i < s->state->nfaults; i++) {
		if (s->state->fault[i].why == WHY_REPORTED)
			continue;
		tell_one(s, d, &s->state->fault[i]);
		lines += 1 + s->state->fault[i].later;
	}
	return lines;
}
