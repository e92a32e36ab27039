#include "text.h"
#include "vocab_words.h"
#include "vocab.h"
#include "value.h"
#include "stamp.h"
#include "rules_words.h"
#include "diag.h"
#include "parse.h"
#include "intern.h"
#include "stock.h"
#include "stock_room.h"

#include <stdlib.h>

#include "mem.h"

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

/* The ops in the order of their days; books mostly stand in it already. */
static struct dated *by_days(const struct stock *s)
{
	struct dated *order = mem_array(s->nops, sizeof *order);
	bool sorted = true;

	for (uint32_t i = 0; i < s->nops; i++) {
		order[i] = (struct dated){ s->op[i].day, i };
		sorted &= i == 0 || order[i - 1].day <= order[i].day;
	}
	if (!sorted)
		qsort(order, s->nops, sizeof *order, by_day);
	return order;
}

static void open_room(struct stock *s, stock_sink *sink, void *context)
{
	s->room = mem_zeroed(1, sizeof *s->room);
	s->room->nids = s->ids.n;
	s->room->id = mem_zeroed(s->room->nids, sizeof *s->room->id);
	s->room->sink = sink;
	s->room->context = context;
}

void stock_run(struct stock *s, int32_t last_day, stock_sink *sink, void *context)
{
	struct dated *order = by_days(s);
	uint32_t *day = mem_array(s->nops, sizeof *day);
	struct stock_days *days = stock_days_new();

	open_room(s, sink, context);
	for (size_t i = 0, k; i < s->nops && order[i].day <= last_day; i = k) {
		for (k = i; k < s->nops && order[k].day == order[i].day; k++)
			day[k - i] = order[k].op;
		stock_day(s, days, day, k - i);
	}
	stock_days_free(days);
	free(day);
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

/* "35 cleft SH at yard/b1", for the buckets of a lot that hold something; how many there were. */
static size_t add_holdings(const struct stock *s, struct buf *out, uint32_t lot)
{
	const struct stock_room *r = s->room;
	size_t n = 0;

	for (uint32_t i = r->id[lot].of_lot; i; i = r->spot[i - 1].next_of_lot)
		for (uint32_t b = r->spot[i - 1].first; b; b = r->bucket[b - 1].next) {
			const struct stock_bucket *bucket = &r->bucket[b - 1];

			if (bucket->n <= 0 || n++ >= HINT_MOST)
				continue;
			if (n > 1)
				buf_str(out, ", ");
			buf_int(out, bucket->n);
			buf_char(out, ' ');
			add_kind(s, out, &bucket->kind);
			buf_str(out, " at ");
			buf_add(out, place_word(s, bucket->kind.place));
		}
	if (n > HINT_MOST)
		buf_str(out, " and more");
	return n;
}

void stock_hint(struct stock *s, struct stock_fault *f)
{
	struct buf *out = &s->room->hints;
	uint32_t lot = f->lot;

	f->hint = out->n;
	if (lot != STOCK_ANY && lot) {
		size_t before = out->n;

		buf_str(out, "the book has ");
		if (!add_holdings(s, out, lot)) {
			out->n = before;
			buf_str(out, "the book has none of it left, or not yet any");
		}
	}
	f->hint_n = out->n - f->hint;
}

static int rule_of(const struct stock_fault *f)
{
	switch (f->why) {
	case WHY_NOTHING:
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
	struct place place = { op->file, by_count ? op->count_col : op->subject_col,
		by_count ? op->count_end : op->subject_end, op->line };
	struct buf what = BUF_INIT, have = BUF_INIT, need = BUF_INIT, hint = BUF_INIT;

	add_what(s, &what, op, f);
	buf_int(&have, f->have);
	buf_int(&need, f->need);
	buf_add(&hint, slice_upto(slice_from(buf_slice(&s->room->hints), f->hint), f->hint_n));
	if (f->later)
		buf_printf(&hint, "; %zu later line%s about it wait%s for this one", f->later, f->later == 1 ? "" : "s",
			f->later == 1 ? "s" : "");
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

	for (size_t i = 0; i < s->room->nfaults; i++) {
		tell_one(s, d, &s->room->fault[i]);
		lines += 1 + s->room->fault[i].later;
	}
	return lines;
}
