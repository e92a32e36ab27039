#include "stock/stock_internal.h"

enum { HINT_MOST = 4, HOLDINGS_MOST = 32 };

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
	int32_t form = op->event->stock.take == TAKE_PAIR ? FORM_BLADE : op->form;

	if (f->why != WHY_AMBIGUOUS)
		return true;
	if (returned ? k->place != s->sold || (op->party != STOCK_ANY && k->party != op->party)
			: op->at == STOCK_ANY ? k->place == s->sold : k->place != op->at)
		return false;
	return (form < 0 || k->form == form) && (op->type == STOCK_ANY || k->type == op->type)
		&& (op->grade == STOCK_ANY || k->grade == op->grade) && (op->class == STOCK_ANY || k->class == op->class);
}

/* What helps with a fault: the first of them, and how many there are. */
struct holdings {
	const struct stock_bucket *first[HOLDINGS_MOST];
	size_t n;
};

/* Puts a bucket among the first. */
static void put_holding(const struct stock *s, struct holdings *h, const struct stock_bucket *bucket)
{
	size_t at = h->n < HOLDINGS_MOST ? h->n : HOLDINGS_MOST;

	for (h->n++; at && by_holding(s, &bucket->kind, &h->first[at - 1]->kind) < 0; at--)
		if (at < HOLDINGS_MOST)
			h->first[at] = h->first[at - 1];
	if (at < HOLDINGS_MOST)
		h->first[at] = bucket;
}

/* What the fault's lot has anywhere, or with STOCK_ANY for the lot what a place holds. */
static void find_holdings(const struct stock *s, const struct stock_fault *f, struct holdings *h)
{
	const struct stock_state *r = s->state;
	uint32_t lot = f->lot, place = s->op[f->op].at;
	bool by_lot = lot != STOCK_ANY;
	const uint32_t ids[STOCK_LISTS] = { lot, by_lot ? STOCK_ANY : place, STOCK_ANY, STOCK_ANY };
	int list = 0;

	h->n = 0;
	for (uint32_t i = r->index ? stock_index_shortest(r, ids, &list) : 0; i; i = stock_index_next(r, i, list))
		if (helps(s, f, &r->bucket[i - 1].kind))
			put_holding(s, h, &r->bucket[i - 1]);
	if (r->index)
		return;
	for (uint32_t i = by_lot ? r->id[lot].of_lot : r->id[place].of_place; i;
			i = by_lot ? r->spot[i - 1].of_lot.next : r->spot[i - 1].of_place.next)
		for (uint32_t b = r->spot[i - 1].first; b; b = r->bucket[b - 1].next)
			if (r->bucket[b - 1].n > 0 && helps(s, f, &r->bucket[b - 1].kind))
				put_holding(s, h, &r->bucket[b - 1]);
}

/* "35 SH clefts at yard/b1", or of a place "35 SH clefts of L061". */
static void add_holdings(const struct stock *s, struct buf *out, const struct stock_fault *f, const struct holdings *h)
{
	for (size_t i = 0; i < h->n && i < HINT_MOST; i++) {
		const struct stock_bucket *b = h->first[i];

		buf_str(out, i ? ", " : "");
		add_pieces(s, out, b->n, &b->kind);
		if (f->lot == STOCK_ANY)
			add_word(out, "of ", stock_text(s, b->kind.lot));
		else
			add_where(s, out, &b->kind);
	}
	if (h->n > HINT_MOST)
		buf_str(out, " and more");
}

/* ---- what tells several apart */

static const struct apart {
	const char *field;
	size_t at;               /* of its word in a kind */
} apart[] = {
	{ "at", offsetof(struct stock_kind, place) }, { "lot", offsetof(struct stock_kind, lot) }, { "from", offsetof(struct stock_kind, party) },
	{ "form", offsetof(struct stock_kind, form) }, { "type", offsetof(struct stock_kind, type) },
	{ "grade", offsetof(struct stock_kind, grade) }, { "class", offsetof(struct stock_kind, class) },
};

enum { APARTS = sizeof apart / sizeof *apart };

static bool differ(const struct stock_bucket *a, const struct stock_bucket *b, size_t field)
{
	return memcmp((const char *)&a->kind + apart[field].at, (const char *)&b->kind + apart[field].at, sizeof a->kind.lot) != 0;
}

/* Of how many pairs of batches a set of fields, as bits, tells one from the other. */
static size_t tells(const struct holdings *h, unsigned fields)
{
	size_t n = h->n < HOLDINGS_MOST ? h->n : HOLDINGS_MOST, pairs = 0;

	for (size_t i = 0; i < n; i++)
		for (size_t k = 0; k < i; k++) {
			size_t field = 0;

			while (field < APARTS && !(fields & 1u << field && differ(h->first[i], h->first[k], field)))
				field++;
			pairs += field < APARTS;
		}
	return pairs;
}

static void add_field(struct buf *out, size_t field, size_t *n, const char *between)
{
	buf_str(out, (*n)++ ? between : "");
	buf_str(out, apart[field].field);
	buf_char(out, '=');
}

/* "at= or type=", where each tells all apart; "type= and grade=", where it takes both. Only what the event takes. */
static void add_apart(struct buf *out, const struct event_def *event, const struct holdings *h)
{
	size_t n = h->n < HOLDINGS_MOST ? h->n : HOLDINGS_MOST, all = n * (n - 1) / 2, written = 0;
	bool more = h->n > n;    /* which may be alike in what tells the first apart */
	unsigned fields = 0;

	for (size_t i = 0; i < APARTS; i++) {
		if (!tells(h, 1u << i) || !vocab_use(event, slice_of(apart[i].field)))
			continue;
		fields |= 1u << i;
		if (!more && tells(h, 1u << i) == all)
			add_field(out, i, &written, " or ");
	}
	if (written)
		return;
	if (tells(h, fields) < all) {
		buf_str(out, "a pool line that gives the pieces meant a lot of their own");
		return;
	}
	for (size_t i = 0; i < APARTS; i++)
		if (fields & 1u << i && (more || tells(h, fields & ~(1u << i)) < all))
			add_field(out, i, &written, " and ");
		else
			fields &= ~(1u << i);
}

void stock_hint(struct stock *s, struct stock_fault *f)
{
	struct buf *out = &s->state->hints;

	f->hint = f->apart = out->n;
	f->hint_n = f->apart_n = 0;
	if (f->why == WHY_MIXED || f->why == WHY_TWO_BATS)
		return;
	if (f->why == WHY_OTHER_BUYER) {
		buf_add(out, stock_text(s, f->buyer));
		f->hint_n = out->n - f->hint;
		return;
	}
	if (f->lot && (f->lot != STOCK_ANY || s->op[f->op].at != STOCK_ANY)) {
		struct holdings h;

		find_holdings(s, f, &h);
		if (f->why == WHY_AMBIGUOUS) {
			add_apart(out, s->op[f->op].event, &h);
			f->hint = out->n;
			f->apart_n = out->n - f->apart;
		}
		buf_str(out, "the book has ");
		add_holdings(s, out, f, &h);
		if (h.n == 1 && f->why == WHY_TALLY)
			out->n = f->hint; /* the message has said so */
		if (!h.n) {
			out->n = f->hint;
			buf_str(out, f->lot == STOCK_ANY ? "the book has no pieces there" : "none is left, or none has come in yet");
		}
	}
	f->hint_n = out->n - f->hint;
}
