#include "book/diag.h"
#include "stock/stock_internal.h"

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
	case WHY_MIXED:
		return RULE_POOL_MIXED;
	case WHY_TWO_BATS:
		return RULE_BAT_COUNT;
	case WHY_UNDECIDED:
		return RULE_STOCK_UNDECIDED;
	case WHY_NOT_SOLD:
		return RULE_BAT_NOT_SOLD;
	}
	return RULE_STOCK_SHORT;
}

static void add_what(const struct stock *s, struct buf *out, const struct stock_op *op, const struct stock_fault *f)
{
	uint32_t lot = f->lot && f->lot != STOCK_ANY ? f->lot : op->subject;

	buf_add(out, stock_text(s, lot));
	if (op->event->stock.take != TAKE_PICK || f->why == WHY_TWO_BATS || f->why == WHY_UNDECIDED || f->why == WHY_NO_COUNT)
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
		by_count ? op->count_end : op->whose_end, stock_op_line(op) };
	struct buf what = BUF_INIT, have = BUF_INIT, need = BUF_INIT, hint = BUF_INIT;

	add_what(s, &what, op, f);
	buf_int(&have, f->have);
	buf_int(&need, f->need);
	buf_add(&hint, slice_upto(slice_from(buf_slice(&s->state->hints), f->hint), f->hint_n));
	if (f->order && f->why == WHY_AMBIGUOUS)
		buf_str(&hint, "; or correct the times, because the day's lines fit in another order");
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
