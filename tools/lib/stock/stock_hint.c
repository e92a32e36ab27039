#include "house/house.h"
#include "stock/stock_internal.h"

enum { HINT_MOST = 4 };

static void add_word(struct buf *out, const char *before, struct slice word)
{
	buf_char(out, ' ');
	buf_str(out, before);
	buf_add(out, word);
}

/* "18 SH clefts", "1 SH grade 2 bat". */
static void add_pieces(const struct stock *s, struct buf *out, int64_t n, const struct stock_kind *k)
{
	buf_int(out, n);
	if (k->type)
		add_word(out, "", stock_text(s, k->type));
	if (k->grade)
		add_word(out, "grade ", stock_text(s, k->grade));
	if (k->class)
		add_word(out, "class ", stock_text(s, k->class));
	add_word(out, "", vocab_form(k->form));
	buf_str(out, PLURAL(n, "", "s"));
}

/* " at yard/b1", or " sold to tern". */
static void add_where(const struct stock *s, struct buf *out, const struct stock_kind *k)
{
	bool sold = k->place == s->sold;

	buf_str(out, sold ? k->party ? " sold to " : " sold" : " at ");
	buf_add(out, stock_text(s, sold ? k->party : k->place));
}

/* As the house lists its grades, whatever the day; pieces without one come first. */
static int by_grade(const struct stock *s, uint32_t a, uint32_t b)
{
	int x = a ? house_grade_order(s->house, INT32_MAX, stock_text(s, a)) : -1, y = b ? house_grade_order(s->house, INT32_MAX, stock_text(s, b)) : -1;

	return (x > y) - (x < y);
}

/* Those not sold first, then by what they are and where, so that the input's order does not show. */
static int by_holding(const struct stock *s, const struct stock_kind *a, const struct stock_kind *b)
{
	const uint32_t x[] = { a->place, a->lot, a->type, a->grade, a->class, a->party };
	const uint32_t y[] = { b->place, b->lot, b->type, b->grade, b->class, b->party };
	int order = (a->place == s->sold) - (b->place == s->sold);

	if (!order && a->place == b->place && a->lot == b->lot && a->type == b->type)
		order = by_grade(s, a->grade, b->grade);
	for (size_t i = 0; !order && i < sizeof x / sizeof *x; i++)
		order = slice_cmp(stock_text(s, x[i]), stock_text(s, y[i]));
	return order ? order : (a->form > b->form) - (a->form < b->form);
}

/* Whether a sort helps with a fault: where several fit, one of those; else any. */
static bool helps(const struct stock *s, const struct stock_fault *f, const struct stock_kind *k)
{
	const struct stock_op *op = &s->op[f->op];
	bool returned = op->event->stock.take == TAKE_SOLD;

	if (f->why != WHY_AMBIGUOUS)
		return true;
	if (returned ? k->place != s->sold || (op->party != STOCK_ANY && k->party != op->party)
			: op->at == STOCK_ANY ? k->place == s->sold : k->place != op->at)
		return false;
	return (op->event->stock.take != TAKE_PICK && !returned) || ((op->form < 0 || k->form == op->form)
		&& (op->type == STOCK_ANY || k->type == op->type) && (op->grade == STOCK_ANY || k->grade == op->grade)
		&& (op->class == STOCK_ANY || k->class == op->class));
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
			i = by_lot ? r->spot[i - 1].of_lot.next : r->spot[i - 1].of_place.next)
		for (uint32_t b = r->spot[i - 1].first; b; b = r->bucket[b - 1].next)
			if (r->bucket[b - 1].n > 0 && helps(s, f, &r->bucket[b - 1].kind))
				put_holding(s, first, n++, &r->bucket[b - 1]);
	return n;
}

/* "35 SH clefts at yard/b1", or of a place "35 SH clefts of L061"; how many sorts there were. */
static size_t add_holdings(const struct stock *s, struct buf *out, const struct stock_fault *f)
{
	const struct stock_bucket *first[HINT_MOST];
	size_t n = find_holdings(s, f, first);
	uint32_t lot = f->lot;

	for (size_t i = 0; i < n && i < HINT_MOST; i++) {
		buf_str(out, i ? ", " : "");
		add_pieces(s, out, first[i]->n, &first[i]->kind);
		if (lot == STOCK_ANY)
			add_word(out, "of ", stock_text(s, first[i]->kind.lot));
		else
			add_where(s, out, &first[i]->kind);
	}
	if (n > HINT_MOST)
		buf_str(out, " and more");
	return n;
}

void stock_hint(struct stock *s, struct stock_fault *f)
{
	struct buf *out = &s->state->hints;

	f->hint = out->n;
	f->hint_n = 0;
	if (f->why == WHY_MIXED || f->why == WHY_TWO_BATS)
		return;
	if (f->why == WHY_OTHER_BUYER) {
		buf_add(out, stock_text(s, f->buyer));
		f->hint_n = out->n - f->hint;
		return;
	}
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
