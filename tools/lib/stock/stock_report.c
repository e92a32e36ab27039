#include <stdlib.h>

#include "book/diag.h"
#include "time/stamp.h"
#include "stock/stock_internal.h"

static int rule_of(const struct stock_op *op, const struct stock_fault *f)
{
	switch (f->why) {
	case WHY_NOTHING:
	case WHY_MISFIT:
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
		return op->counted ? RULE_RETURN_SHORT : RULE_BAT_NOT_SOLD;
	case WHY_OTHER_BUYER:
		return RULE_BAT_BUYER;
	}
	return RULE_STOCK_SHORT;
}

static void add_selected(const struct stock *s, struct buf *out, const struct stock_op *op)
{
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
	if (op->class != STOCK_ANY && op->class) {
		buf_str(out, " class ");
		buf_add(out, stock_text(s, op->class));
	}
}

/* "L061 cleft SH"; where a line of a charge names no lot, "cleft SH pieces". */
static void add_what(const struct stock *s, struct buf *out, const struct stock_op *op, const struct stock_fault *f)
{
	bool picks = op->event->stock.take == TAKE_PICK || op->event->stock.take == TAKE_SOLD;

	if (picks && f->lot == STOCK_ANY && f->why != WHY_UNDECIDED) {
		struct buf selected = BUF_INIT;

		add_selected(s, &selected, op);
		buf_add(out, slice_from(buf_slice(&selected), selected.n > 0));
		buf_str(out, selected.n ? " pieces" : "pieces");
		buf_release(&selected);
		return;
	}
	buf_add(out, stock_text(s, f->lot && f->lot != STOCK_ANY ? f->lot : op->subject));
	if (!picks || f->why == WHY_TWO_BATS || f->why == WHY_UNDECIDED || f->why == WHY_NO_COUNT
		|| ((f->why == WHY_NOT_SOLD || f->why == WHY_OTHER_BUYER) && op->uncounted))
		return;
	add_selected(s, out, op);
}

/* Where the pieces are wanted; of what comes back, who has it. */
static void add_where(const struct stock *s, struct buf *out, const struct stock_op *op, const struct stock_fault *f)
{
	bool sold = op->event->stock.take == TAKE_SOLD;
	uint32_t place = sold ? op->party : op->at;

	if (f->why == WHY_AMBIGUOUS)
		buf_str(out, !sold ? "at " : place == STOCK_ANY ? "that was sold" : "sold to ");
	if (place != STOCK_ANY)
		buf_add(out, stock_text(s, place));
	else if (!sold || f->why != WHY_AMBIGUOUS)
		buf_str(out, sold ? "anybody" : "any place");
	if (f->why == WHY_TALLY && op->found)
		buf_printf(out, ", and found=%d would make that %lld", (int)op->found, (long long)f->have + op->found);
}

/* How surely a line is about the sort that a fault lacks: its form is known, or may be that. */
enum sureness { MAY_BE, IS_SO, SURENESSES };

/* When the sort that is missing comes to its place, and when it left; 0 where no line says so. */
struct fault_days {
	int32_t left, comes[SURENESSES];
	bool was_there[SURENESSES], met[SURENESSES];
};

static bool has_type(const struct stock_walk *w, uint32_t type)
{
	const struct stock_op *op = &w->op;

	if (type == STOCK_ANY || op->type == type)
		return true;
	for (uint32_t i = op->counts; op->event->stock.take != TAKE_LOTS && i < op->counts + op->ncounts; i++)
		if (w->items.v[i].type == type)
			return true;
	return op->type == STOCK_ANY && op->ncounts <= 1;
}

/* Whether the line brings such pieces to the place, or makes them there. */
static bool brings(const struct stock_walk *w, const struct stock_op *failed, enum sureness *sure)
{
	const struct stock_op *op = &w->op;
	int form = op->event->stock.makes >= 0 ? op->event->stock.makes : op->form;
	bool here = op->into != STOCK_ANY ? op->into == failed->at
		: op->at == failed->at && (op->event->stock.makes >= 0 || op->found > 0);

	*sure = failed->form < 0 || form == failed->form ? IS_SO : MAY_BE;
	return here && (form < 0 || *sure == IS_SO) && has_type(w, failed->type);
}

static bool takes(const struct stock_walk *w, const struct stock_op *failed)
{
	const struct stock_op *op = &w->op;

	return op->at == failed->at && (op->form < 0 || failed->form < 0 || op->form == failed->form) && has_type(w, failed->type);
}

/* The line that a fault is of. */
static struct stock_op op_of(const struct stock *s, const struct stock_fault *f)
{
	struct stock_walk walk = { .stock = s, .at = f->at_log };
	struct stock_op op = *stock_walk_next(&walk);

	stock_walk_release(&walk);
	return op;
}

/* The line that was walked to, which names the lot. */
static void note_days(const struct stock_walk *w, struct fault_days *days, uint32_t lot)
{
	const struct stock *s = w->stock;
	const struct stock_op *op = &w->op;
	uint32_t index = lot < s->state->nids ? s->state->id[lot].fault : 0;
	const struct stock_fault *f = index ? &s->state->fault[index - 1] : NULL;
	struct stock_op failed;
	enum sureness sure;

	if (!f || f->why != WHY_ABSENT || f->lot != lot || op->at_log == f->at_log)
		return;
	failed = op_of(s, f);
	days += index - 1;
	if (brings(w, &failed, &sure)) {
		days->met[sure] = true;
		days->was_there[sure] |= op->day <= failed.day;
		if (op->day > failed.day && (!days->comes[sure] || op->day < days->comes[sure]))
			days->comes[sure] = op->day;
	}
	if (takes(w, &failed) && op->day <= failed.day && (!days->left || op->day > days->left))
		days->left = op->day;
}

/* By fault; to be freed. */
static struct fault_days *find_days(const struct stock *s)
{
	struct fault_days *days = mem_zeroed(s->state->nfaults + 1, sizeof *days);
	struct stock_walk walk = { .stock = s };
	const struct stock_op *op;

	while (s->state->nfaults && (op = stock_walk_next(&walk))) {
		if (op->lot != STOCK_ANY)
			note_days(&walk, days, op->lot);
		if (op->subject != op->lot)
			note_days(&walk, days, op->subject);
	}
	stock_walk_release(&walk);
	return days;
}

/* A wrong date is often why a lot is not where a line wants it. */
static void add_days(const struct stock *s, struct buf *hint, const struct stock_fault *f, const struct stock_op *op, const struct fault_days *days)
{
	enum sureness sure = days->met[IS_SO] ? IS_SO : MAY_BE;
	int32_t day = days->was_there[sure] ? days->left : days->comes[sure];
	struct slice lot, at;

	if (!day || f->lot == STOCK_ANY || op->at == STOCK_ANY)
		return;
	lot = stock_text(s, f->lot);
	at = stock_text(s, op->at);
	buf_printf(hint, days->was_there[sure] ? "the last of %.*s left %.*s on " : "%.*s comes to %.*s only on ", (int)lot.n, lot.p, (int)at.n, at.p);
	day_write(hint, day);
	buf_str(hint, "; ");
}

static void tell_one(struct stock *s, struct diags *d, const struct stock_fault *f, const struct fault_days *days)
{
	struct stock_op op = op_of(s, f);
	bool by_count = op.count_col && (f->why == WHY_SHORT || f->why == WHY_TALLY || f->why == WHY_NOT_SOLD);
	struct place place = { op.file, by_count ? op.count_col : op.whose_col,
		by_count ? op.count_end : op.whose_end, stock_op_line(&op) };
	struct buf what = BUF_INIT, have = BUF_INIT, need = BUF_INIT, at = BUF_INIT, hint = BUF_INIT;

	add_what(s, &what, &op, f);
	if (f->why == WHY_AMBIGUOUS)
		buf_add(&have, slice_upto(slice_from(buf_slice(&s->state->hints), f->apart), f->apart_n));
	else
		buf_int(&have, f->have);
	buf_int(&need, f->need);
	add_where(s, &at, &op, f);
	add_days(s, &hint, f, &op, days);
	buf_add(&hint, slice_upto(slice_from(buf_slice(&s->state->hints), f->hint), f->hint_n));
	if (f->order && f->why == WHY_AMBIGUOUS)
		buf_str(&hint, "; or correct the times, because the day's lines fit in another order");
	if (f->later)
		buf_printf(&hint, "%s%zu later line%s cannot be checked until this is fixed", hint.n ? "; " : "", f->later,
			PLURAL(f->later, "", "s"));
	DIAG(d, rule_of(&op, f), place, buf_slice(&what), buf_slice(&have), buf_slice(&need),
		buf_slice(&at), buf_slice(&hint));
	buf_release(&what);
	buf_release(&have);
	buf_release(&need);
	buf_release(&at);
	buf_release(&hint);
}

size_t stock_tell(struct stock *s, struct diags *d)
{
	struct fault_days *days = find_days(s);
	size_t lines = 0;

	for (size_t i = 0; i < s->state->nfaults; i++) {
		if (s->state->fault[i].why == WHY_REPORTED)
			continue;
		tell_one(s, d, &s->state->fault[i], &days[i]);
		lines += 1 + s->state->fault[i].later;
	}
	free(days);
	return lines;
}
