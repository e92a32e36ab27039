#include "stock/stock_key.h"

#include "book/token.h"
#include "stock/stock_internal.h"

#define BY(a, b) do { if ((a) != (b)) return (a) < (b) ? -1 : 1; } while (0)

/* A missing word comes first, and "-" (0) comes next. */
static int by_text(const struct stock *s, uint32_t a, uint32_t b)
{
	if (a == b)
		return 0;
	if (a == STOCK_ANY || b == STOCK_ANY)
		return a == STOCK_ANY ? -1 : 1;
	return slice_cmp(intern_text(&s->ids, a), intern_text(&s->ids, b));
}

static int by_form(int32_t a, int32_t b)
{
	if (a == b)
		return 0;
	if (a < 0 || b < 0)
		return a < 0 ? -1 : 1;
	return slice_cmp(vocab_form(a), vocab_form(b));
}

static int by_items(const struct stock *s, uint32_t a, uint32_t na, uint32_t b, uint32_t nb)
{
	BY(na, nb);
	for (uint32_t i = 0; i < na; i++) {
		const struct stock_item *x = &s->item[a + i], *y = &s->item[b + i];
		int order = by_text(s, x->type, y->type);

		order = order ? order : by_text(s, x->grade, y->grade);
		order = order ? order : by_text(s, x->class, y->class);
		if (order)
			return order;
		BY(x->n, y->n);
	}
	return 0;
}

static int by_words(const struct stock *s, const uint32_t *a, const uint32_t *b, size_t n)
{
	int order = 0;

	for (size_t i = 0; !order && i < n; i++)
		order = by_text(s, a[i], b[i]);
	return order;
}

/* Who buys or returns is among the other fields. */
static uint32_t tree_of(const struct stock_op *op)
{
	return op->event->stock.take == TAKE_SOLD || op->event->stock.give == GIVE_SOLD ? 0 : op->tree;
}

/* What the lines select. */
static int by_selection(const struct stock *s, const struct stock_op *a, const struct stock_op *b)
{
	const uint32_t x[] = { a->subject, a->lot, a->at, a->into }, y[] = { b->subject, b->lot, b->at, b->into };
	const uint32_t t[] = { a->type, a->grade, a->blade, a->handle, tree_of(a) }, u[] = { b->type, b->grade, b->blade, b->handle, tree_of(b) };
	int order = by_words(s, x, y, sizeof x / sizeof *x);

	order = order ? order : by_form(a->form, b->form);
	return order ? order : by_words(s, t, u, sizeof t / sizeof *t);
}

/* ---- the other fields */

enum { PARTS_MOST = FIELD_MOST };

struct parts {
	struct slice v[PARTS_MOST];
	size_t n;
	struct buf words;        /* those of which the op has the word alone */
};

static void add_word(const struct stock *s, struct parts *p, const char *field, uint32_t word)
{
	buf_str(&p->words, field);
	buf_add(&p->words, word ? stock_text(s, word) : SLICE("-"));
	buf_char(&p->words, '\n');
}

/* The fields whose words the op has. */
static void add_words(const struct stock *s, struct parts *p, const struct stock_op *op)
{
	const struct stock_effect *e = &op->event->stock;

	if (op->by)
		add_word(s, p, "by=", op->by);
	if (op->order)
		add_word(s, p, "for=", op->order);
	if ((e->take == TAKE_SOLD || e->give == GIVE_SOLD) && op->party != STOCK_ANY)
		add_word(s, p, e->take == TAKE_SOLD ? "from=" : "to=", op->party);
}

/* Each ends at a line end. */
static void add_parts(struct parts *p, struct slice text)
{
	while (text.n) {
		size_t end = slice_find(text, '\n');

		p->v[p->n++] = slice_upto(text, end);
		text = slice_from(text, end + 1);
	}
}

/* Those of a line as written that the op has no place for. */
static void add_others(struct parts *p, const struct event_def *event, struct slice text)
{
	const char *at = text.p, *end = text.p + text.n;

	while ((at = token_skip_blanks(at, end)) < end) {
		struct slice field = slice_between(at, token_value_end(at, end));
		const struct field_use *use = vocab_use(event, slice_upto(field, slice_find(field, '=')));

		if (use && stock_field_is_other(event, use))
			p->v[p->n++] = field;
		at += field.n;
	}
}

/* By name; there are few, and lines mostly have them in an order of their own. */
static void sort_parts(struct slice *part, size_t n)
{
	for (size_t i = 1; i < n; i++)
		for (size_t k = i; k && slice_cmp(part[k - 1], part[k]) > 0; k--) {
			struct slice other = part[k - 1];

			part[k - 1] = part[k];
			part[k] = other;
		}
}

/* The fields of a line that decide of nothing but its sort key, by name. */
static void write_rest(const struct stock *s, const struct stock_op *op, struct buf *out)
{
	struct parts p = { .n = 0 };

	add_words(s, &p, op);
	add_parts(&p, buf_slice(&p.words));
	add_others(&p, op->event, stock_log_rest(&s->log, &s->state->rest_view, op->at_log));
	sort_parts(p.v, p.n);
	for (size_t i = 0; i < p.n; i++) {
		if (i)
			buf_char(out, ' ');
		buf_add(out, p.v[i]);
	}
	buf_release(&p.words);
}

static int by_rest(const struct stock *s, const struct stock_op *a, const struct stock_op *b)
{
	struct buf x = BUF_INIT, y = BUF_INIT;
	int order;

	write_rest(s, a, &x);
	write_rest(s, b, &y);
	order = slice_cmp(buf_slice(&x), buf_slice(&y));
	buf_release(&x);
	buf_release(&y);
	return order;
}

/* ---- all of it */

static int by_content(const struct stock *s, const struct stock_op *a, const struct stock_op *b)
{
	int order = slice_cmp(a->event->name, b->event->name);

	order = order ? order : by_selection(s, a, b);
	if (order)
		return order;
	BY(a->found, b->found);
	order = by_items(s, a->counts, a->ncounts, b->counts, b->ncounts);
	order = order ? order : by_items(s, a->culls, a->nculls, b->culls, b->nculls);
	return order ? order : by_rest(s, a, b);
}

int stock_key_order(const struct stock *s, uint32_t a, uint32_t b)
{
	const struct stock_op *x = &s->op[a], *y = &s->op[b];
	bool untimed_x = x->second == STOCK_UNTIMED, untimed_y = y->second == STOCK_UNTIMED;

	BY(untimed_x, untimed_y);
	BY(x->second, y->second);
	return by_content(s, x, y);
}

void stock_key_sort(const struct stock *s, uint32_t *op, uint32_t *spare, size_t n)
{
	size_t half = n / 2, i = 0, j = half, k = 0;

	if (n < 2)
		return;
	stock_key_sort(s, op, spare, half);
	stock_key_sort(s, op + half, spare, n - half);
	if (stock_key_order(s, op[half - 1], op[half]) <= 0)
		return;
	while (i < half && j < n)
		spare[k++] = stock_key_order(s, op[j], op[i]) < 0 ? op[j++] : op[i++];
	while (i < half)
		spare[k++] = op[i++];
	memcpy(op, spare, k * sizeof *op);
}
