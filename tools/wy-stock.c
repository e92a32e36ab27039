/*
 * wy-stock - what is where on a day, and what of it the orders still want.
 */
#include <stdlib.h>

#include "base/mem.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "stock/orders.h"
#include "table/table.h"

enum { BY_PLACE, BY_FORM, BY_TYPE, BY_GRADE, BY_LOT, BYS };

static const char *const BY_WORDS[] = { "place", "form", "type", "grade", "lot", NULL };

static const char *by_text;
static const char *since_text;
static bool want_orders, want_audit;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEYS", "a row for each: some of place, form, type, grade, lot, with\ncommas (place,form,type,grade)"),
	OPT_FLAG(0, "orders", &want_orders, "the orders that are open, and what the stock gives for them"),
	OPT_DATE(0, "since", &since_text, "by form and type, what came in and went out from that day\non; start and all that happened make the end"),
	OPT_FLAG(0, "audit", &want_audit, "by lot, all that came in and where it went; it must add up"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-stock",
	.purpose = "what is where on a day, against the orders",
	.usage = "[--by KEYS] [options] [FILE...]\n--since DATE [options] [FILE...]\n--orders [options] [FILE...]\n--audit [options] [FILE...]",
	.options = options,
	.exits = "0  done\n1  nothing in stock, or the book does not add up\n2  wrong use, or something could not be read or written",
	.example = "wy-stock --on 2026-12-31 --by type,grade book.wy\nwhat stands graded at the year's end",
};

/* What the lines say of a bat besides where it is. Days are INT32_MIN where no line says. */
struct bat {
	int64_t micrograms;       /* 0: not weighed */
	int32_t day, second;      /* of the line that says its mass */
	int32_t finished, back;   /* the last day that it was finished, that it came back */
};

/* What the engine and the book are asked in one run. */
struct answer {
	struct book book;
	struct stock stock;
	struct orders orders;
	int32_t today;
	size_t by[BYS], nby;
	struct audit *audit;      /* by lot id */
	struct moved *moved;      /* by form and type */
	struct intern moved_ids;  /* of form and type, as bytes */
	size_t nmoved, moved_cap;
	int32_t since;            /* of --since, or INT32_MIN */
	struct bat *bat;          /* by lot id */
	size_t bats_cap;
	size_t nids;
};

/* ---- rows of the stock */

struct row {
	struct slice key[BYS];    /* in the order of --by */
	int rank[BYS];            /* of a form: as it goes through the works */
	int64_t n;
	int32_t since;
};

static int by_keys(const void *a, const void *b)
{
	const struct row *x = a, *y = b;
	int order = 0;

	for (int i = 0; !order && i < BYS; i++) {
		order = (x->rank[i] > y->rank[i]) - (x->rank[i] < y->rank[i]);
		order = order ? order : slice_cmp(x->key[i], y->key[i]);
	}
	return order;
}

static struct slice key_of(const struct answer *a, const struct stock_kind *k, size_t by)
{
	const uint32_t id[BYS] = { [BY_PLACE] = k->place, [BY_TYPE] = k->type, [BY_GRADE] = k->grade, [BY_LOT] = k->lot };

	return by == BY_FORM ? vocab_form(k->form) : stock_text(&a->stock, id[by]);
}

static struct row row_of(const struct answer *a, const struct stock_bucket *b)
{
	struct row row = { .n = b->n, .since = b->since };

	for (size_t i = 0; i < a->nby; i++) {
		row.key[i] = key_of(a, &b->kind, a->by[i]);
		row.rank[i] = a->by[i] == BY_FORM ? b->kind.form : 0;
	}
	return row;
}

static size_t collect(const struct answer *a, struct row *rows)
{
	size_t nbuckets, n = 0;
	const struct stock_bucket *b = stock_buckets(&a->stock, &nbuckets);

	for (size_t i = 0; i < nbuckets; i++)
		if (b[i].n > 0 && b[i].kind.place != a->stock.sold)
			rows[n++] = row_of(a, &b[i]);
	if (n)
		qsort(rows, n, sizeof *rows, by_keys);
	return n;
}

static void put_day(struct table *t, int32_t day)
{
	struct buf text = BUF_INIT;

	day_write(&text, day);
	table_date(t, buf_slice(&text));
	buf_release(&text);
}

static void put_word(struct table *t, struct slice word)
{
	if (word.n)
		table_text(t, word);
	else
		table_absent(t);
}

static void put_row(const struct answer *a, struct table *t, const struct row *r, int64_t n, int32_t since)
{
	put_day(t, a->today);
	for (size_t i = 0; i < a->nby; i++)
		put_word(t, r->key[i]);
	table_int(t, n);
	table_int(t, a->today - since);
}

static size_t print_stock(const struct answer *a)
{
	struct table t;
	size_t nbuckets, n;
	struct row *rows;

	stock_buckets(&a->stock, &nbuckets);
	rows = mem_array(nbuckets, sizeof *rows);
	n = collect(a, rows);
	table_init(&t, (const struct table_column[]){ { "as_of", TABLE_DATE, 0, NULL } }, 1);
	for (size_t i = 0; i < a->nby; i++)
		table_add_column(&t, BY_WORDS[a->by[i]], TABLE_TEXT, 0);
	table_add_column(&t, "count", TABLE_INT, 0);
	table_add_column(&t, "oldest_days", TABLE_INT, 0);
	for (size_t i = 0, k; i < n; i = k) {
		int64_t sum = 0;
		int32_t since = INT32_MAX;

		for (k = i; k < n && by_keys(&rows[i], &rows[k]) == 0; k++) {
			sum += rows[k].n;
			since = rows[k].since < since ? rows[k].since : since;
		}
		put_row(a, &t, &rows[i], sum, since);
	}
	table_note(&t, SLICE("oldest_days: since the oldest of them took this form (cleft, planed, made)"));
	tool_print_table(&t);
	table_release(&t);
	free(rows);
	return n;
}

/* ---- the audit: every lot's pieces, from where they came in to where they are */

struct audit {
	int64_t in, found, pooled_in, pooled_out, joined, lost, sold, there;
};

static void audit_flow(struct answer *a, const struct stock_flow *f)
{
	struct audit *from = f->from.lot ? &a->audit[f->from.lot] : NULL, *to = &a->audit[f->to.lot];

	switch (f->change) {
	case STOCK_BORN:
		to->in += f->n;
		break;
	case STOCK_FOUND:
		to->found += f->n;
		break;
	case STOCK_LOST:
		to->lost += f->n;
		break;
	case STOCK_JOINED:
		from->joined += f->n;
		if (f->from.form == FORM_BLADE)
			to->in += f->n;
		break;
	case STOCK_GONE_ON:
		if (f->from.lot != f->to.lot) {
			from->pooled_out += f->n;
			to->pooled_in += f->n;
		}
		if (f->to.place == a->stock.sold)
			to->sold += f->n;
		if (f->from.place == a->stock.sold)
			from->sold -= f->n;
		break;
	}
}

static int by_slice(const void *a, const void *b)
{
	return slice_cmp(*(const struct slice *)a, *(const struct slice *)b);
}

static bool is_audited(const struct audit *u)
{
	return u->in || u->found || u->pooled_in || u->pooled_out || u->joined || u->lost || u->sold || u->there;
}

/* The lots that the audit knows, in the order of their names. */
static struct slice *audited(const struct answer *a, size_t *n)
{
	struct slice *lot = mem_array(a->nids, sizeof *lot);

	*n = 0;
	for (uint32_t id = 1; id < a->nids; id++) {
		if (is_audited(&a->audit[id]))
			lot[(*n)++] = stock_text(&a->stock, id);
	}
	if (*n)
		qsort(lot, *n, sizeof *lot, by_slice);
	return lot;
}

static size_t print_audit(struct answer *a)
{
	static const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "lot", TABLE_TEXT, 0, NULL }, { "in", TABLE_INT, 0, NULL },
		{ "found", TABLE_INT, 0, NULL }, { "pooled_in", TABLE_INT, 0, NULL }, { "pooled_out", TABLE_INT, 0, NULL }, { "into_bats", TABLE_INT, 0, NULL },
		{ "culled", TABLE_INT, 0, NULL }, { "sold", TABLE_INT, 0, NULL }, { "there", TABLE_INT, 0, NULL }, { "adds_up", TABLE_TEXT, 0, NULL } };
	size_t nbuckets, n;
	const struct stock_bucket *b = stock_buckets(&a->stock, &nbuckets);
	struct slice *lot;
	struct table t;

	for (size_t i = 0; i < nbuckets; i++)
		if (b[i].kind.place != a->stock.sold)
			a->audit[b[i].kind.lot].there += b[i].n;
	lot = audited(a, &n);
	table_init(&t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < n; i++) {
		const struct audit *u = &a->audit[intern_find(&a->stock.ids, lot[i])];
		const int64_t cells[] = { u->in, u->found, u->pooled_in, u->pooled_out, u->joined, u->lost, u->sold, u->there };
		int64_t left = u->in + u->found + u->pooled_in - u->pooled_out - u->joined - u->lost - u->sold;

		put_day(&t, a->today);
		table_text(&t, lot[i]);
		for (size_t k = 0; k < sizeof cells / sizeof *cells; k++)
			table_int(&t, cells[k]);
		table_cstr(&t, left == u->there ? "yes" : "no");
	}
	tool_print_table(&t);
	table_release(&t);
	free(lot);
	return n;
}

/* ---- what came in and went out since a day */

struct moved {
	int32_t form;
	uint32_t type;
	int64_t start, in, found, returned, made, culled, sold, used;
};

static struct moved *moved_of(struct answer *a, const struct stock_kind *k)
{
	const uint32_t key[] = { (uint32_t)k->form, k->type };
	uint32_t at = intern_id(&a->moved_ids, (struct slice){ (const char *)key, sizeof key }) - 1;

	if (at == a->nmoved) {
		a->moved = mem_grow(a->moved, &a->moved_cap, a->nmoved + 1, sizeof *a->moved);
		a->moved[a->nmoved++] = (struct moved){ .form = k->form, .type = k->type };
	}
	return &a->moved[at];
}

/* The columns that a flow counts in: where pieces went to, then where they came from. */
static int64_t *came_as(struct answer *a, const struct stock_flow *f)
{
	struct moved *m = moved_of(a, &f->to);

	if (f->change == STOCK_BORN)
		return &m->in;
	if (f->change == STOCK_FOUND)
		return &m->found;
	if (f->change == STOCK_GONE_ON && f->from.place == a->stock.sold)
		return &m->returned;
	if (f->change == STOCK_LOST || f->to.place == a->stock.sold || (f->change == STOCK_JOINED && f->from.form != FORM_BLADE))
		return NULL;
	return f->from.form == f->to.form && f->from.type == f->to.type ? NULL : &m->made;
}

static int64_t *went_as(struct answer *a, const struct stock_flow *f)
{
	struct moved *m;

	if (f->change == STOCK_BORN || f->change == STOCK_FOUND || f->from.place == a->stock.sold)
		return NULL;
	m = moved_of(a, &f->from);
	if (f->change == STOCK_LOST)
		return &m->culled;
	if (f->to.place == a->stock.sold)
		return &m->sold;
	return f->from.form == f->to.form && f->from.type == f->to.type ? NULL : &m->used;
}

static void moved_flow(struct answer *a, const struct stock_flow *f)
{
	int64_t *came = came_as(a, f), *went;

	if (came && f->op->day < a->since)
		came = &moved_of(a, &f->to)->start;
	if (came)
		*came += f->n;
	went = went_as(a, f);
	if (went && f->op->day < a->since)
		moved_of(a, &f->from)->start -= f->n;
	else if (went)
		*went += f->n;
}

struct moved_row {
	struct moved m;
	struct slice type;
};

static int by_form(const void *a, const void *b)
{
	const struct moved_row *x = a, *y = b;

	if (x->m.form != y->m.form)
		return x->m.form < y->m.form ? -1 : 1;
	return slice_cmp(x->type, y->type);
}

/* Whether there was a row to put: something there, or something that happened. */
static bool put_moved(const struct answer *a, struct table *t, const struct moved_row *r)
{
	const struct moved *m = &r->m;
	const int64_t cells[] = { m->start, m->in, m->found, m->returned, m->made, m->culled, m->sold, m->used,
		m->start + m->in + m->found + m->returned + m->made - m->culled - m->sold - m->used };
	int64_t any = 0;

	for (size_t k = 0; k < sizeof cells / sizeof *cells; k++)
		any |= cells[k];
	if (!any)
		return false;
	put_day(t, a->since);
	put_day(t, a->today);
	table_text(t, vocab_form(m->form));
	put_word(t, r->type);
	for (size_t k = 0; k < sizeof cells / sizeof *cells; k++)
		table_int(t, cells[k]);
	return true;
}

static size_t print_moved(const struct answer *a)
{
	static const struct table_column columns[] = { { "since", TABLE_DATE, 0, NULL }, { "as_of", TABLE_DATE, 0, NULL }, { "form", TABLE_TEXT, 0, NULL },
		{ "type", TABLE_TEXT, 0, NULL }, { "start", TABLE_INT, 0, NULL }, { "in", TABLE_INT, 0, NULL }, { "found", TABLE_INT, 0, NULL },
		{ "returned", TABLE_INT, 0, NULL }, { "made", TABLE_INT, 0, NULL }, { "culled", TABLE_INT, 0, NULL }, { "sold", TABLE_INT, 0, NULL },
		{ "used", TABLE_INT, 0, NULL }, { "end", TABLE_INT, 0, NULL } };
	struct moved_row *rows = mem_array(a->nmoved, sizeof *rows);
	size_t shown = 0;
	struct table t;

	for (size_t i = 0; i < a->nmoved; i++)
		rows[i] = (struct moved_row){ a->moved[i], stock_text(&a->stock, a->moved[i].type) };
	if (a->nmoved)
		qsort(rows, a->nmoved, sizeof *rows, by_form);
	table_init(&t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < a->nmoved; i++)
		shown += put_moved(a, &t, &rows[i]);
	table_note(&t, SLICE("made: came from another form or type; used: went into one"));
	tool_print_table(&t);
	table_release(&t);
	free(rows);
	return shown;
}

/* ---- the orders */

static struct order_piece piece_of(const struct answer *a, const struct stock_bucket *b)
{
	const struct stock_kind *k = &b->kind;

	return (struct order_piece){ *k, b->n, k->lot < a->bats_cap ? a->bat[k->lot].micrograms : 0, stock_text(&a->stock, k->lot),
		stock_text(&a->stock, k->type), stock_text(&a->stock, k->grade), stock_text(&a->stock, k->place) };
}

/* A bat that came back is promised to nobody before it is finished anew. */
static bool is_back(const struct answer *a, const struct stock_kind *k)
{
	return k->form == FORM_BAT && k->lot < a->bats_cap && a->bat[k->lot].back > a->bat[k->lot].finished;
}

/* The pieces that can be given to orders. */
static struct order_piece *pieces(const struct answer *a, size_t *n)
{
	size_t nbuckets;
	const struct stock_bucket *b = stock_buckets(&a->stock, &nbuckets);
	struct order_piece *piece = mem_array(nbuckets, sizeof *piece);

	*n = 0;
	for (size_t i = 0; i < nbuckets; i++)
		if (b[i].n > 0 && b[i].kind.place != a->stock.sold && !is_back(a, &b[i].kind))
			piece[(*n)++] = piece_of(a, &b[i]);
	orders_queue(piece, *n);
	return piece;
}

static void put_what(const struct answer *a, struct table *t, uint32_t id)
{
	if (id == STOCK_ANY)
		table_absent(t);
	else
		put_word(t, stock_text(&a->stock, id));
}

static void put_item(struct answer *a, struct table *t, const struct order *o, const struct order_item *item, struct order_piece *rows, size_t n)
{
	int64_t open = item->wanted > item->met ? item->wanted - item->met : 0;
	int64_t as_is = order_take(o, item, ORDER_AS_IT_IS, rows, n, open);
	int64_t to_make = order_take(o, item, ORDER_TO_MAKE, rows, n, open - as_is);

	put_day(t, a->today);
	table_text(t, stock_text(&a->stock, o->id));
	put_word(t, stock_text(&a->stock, o->to));
	if (o->due == INT32_MAX)
		table_absent(t);
	else
		put_day(t, o->due);
	table_text(t, vocab_form(o->form));
	put_what(a, t, item->type);
	put_what(a, t, item->grade);
	table_int(t, item->wanted);
	table_int(t, item->met);
	table_int(t, open);
	table_int(t, as_is);
	table_int(t, to_make);
	table_int(t, open - as_is - to_make);
}

static size_t print_orders(struct answer *a)
{
	static const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "order", TABLE_TEXT, 0, NULL }, { "to", TABLE_TEXT, 0, NULL },
		{ "due", TABLE_DATE, 0, NULL }, { "form", TABLE_TEXT, 0, NULL }, { "type", TABLE_TEXT, 0, NULL }, { "grade", TABLE_TEXT, 0, NULL },
		{ "wanted", TABLE_INT, 0, NULL }, { "sold", TABLE_INT, 0, NULL }, { "open", TABLE_INT, 0, NULL }, { "in_stock", TABLE_INT, 0, NULL },
		{ "to_make", TABLE_INT, 0, NULL }, { "short", TABLE_INT, 0, NULL } };
	size_t nrows, shown = 0;
	struct order_piece *rows = pieces(a, &nrows);
	struct table t;

	table_init(&t, columns, sizeof columns / sizeof *columns);
	orders_sort(&a->orders, &a->stock);
	for (size_t i = 0; i < a->orders.n; i++)
		for (size_t k = 0; k < a->orders.row[i].nitems; k++)
			if (a->orders.row[i].item[k].wanted > a->orders.row[i].item[k].met) {
				put_item(a, &t, &a->orders.row[i], &a->orders.row[i].item[k], rows, nrows);
				shown++;
			}
	table_note(&t, SLICE("in_stock and to_make are given to the orders as they fall due; no piece twice"));
	table_note(&t, SLICE("to_make: blades that can become the bats; if a mass is asked, bats not yet weighed"));
	tool_print_table(&t);
	table_release(&t);
	free(rows);
	return shown;
}

/* ---- the run */

static void take_flow(void *context, const struct stock_flow *f)
{
	struct answer *a = context;
	struct order *o = f->op->order && f->to.place == a->stock.sold ? orders_find(&a->orders, f->op->order) : NULL;

	audit_flow(a, f);
	moved_flow(a, f);
	if (o)
		order_meet(o, &f->from, f->n);
}

static struct bat *bat_of(struct answer *a, struct slice name)
{
	uint32_t id = intern_id(&a->stock.ids, name);
	size_t had = a->bats_cap;

	a->bat = mem_grow(a->bat, &a->bats_cap, id + 1u, sizeof *a->bat);
	for (size_t i = had; i < a->bats_cap; i++)
		a->bat[i] = (struct bat){ 0, INT32_MIN, 0, INT32_MIN, INT32_MIN };
	return &a->bat[id];
}

/* The mass of a finished bat by its last line; of two at once, by the heavier. */
static void take_mass(struct bat *known, const struct line *l)
{
	int64_t micrograms = line_field(l, FIELD_MASS) ? line_item(l, FIELD_MASS)->v.fix : 0;
	int32_t day = l->stamp.day, second = l->stamp.second;

	if (!micrograms)
		return;
	if (day > known->day || (day == known->day && (second > known->second ||
	    (second == known->second && micrograms > known->micrograms)))) {
		known->micrograms = micrograms;
		known->day = day;
		known->second = second;
	}
}

static void take_bat(struct answer *a, const struct line *l)
{
	struct bat *bat;
	int32_t *last;

	if (l->stamp.day > a->today)
		return;
	bat = bat_of(a, l->subject);
	last = l->event->id == EVENT_FINISH ? &bat->finished : &bat->back;
	if (l->stamp.day > *last)
		*last = l->stamp.day;
	if (l->event->id == EVENT_FINISH)
		take_mass(bat, l);
}

static void read_book(struct answer *a)
{
	const struct line *l;

	while ((l = book_next(&a->book))) {
		if (l->kind != LINE_EVENT)
			continue;
		if (l->event->id == EVENT_ORDER)
			orders_add(&a->orders, &a->stock, l, a->today);
		if (l->event->id == EVENT_FINISH || l->event->id == EVENT_RETURN)
			take_bat(a, l);
		book_stock_add(&a->book, &a->stock, l);
	}
}

static void choose(struct answer *a)
{
	const char *other = want_orders ? "--orders" : want_audit ? "--audit" : since_text ? "--since" : NULL;

	if (want_orders + want_audit + (since_text != NULL) > 1)
		tool_misused("--orders, --audit and --since are answers of their own; ask for one");
	if (by_text && other)
		tool_misused("--by is for the stock; %s has rows of its own", other);
	a->nby = tool_words("--by", by_text ? by_text : "place,form,type,grade", BY_WORDS, a->by);
}

int main(int argc, char **argv)
{
	static struct answer a;
	int status, adds_up;
	size_t rows;

	tool_start(&page, argc, argv);
	choose(&a);
	book_start(&a.book, 0);
	book_stock_init(&a.book, &a.stock);
	orders_init(&a.orders);
	intern_init(&a.moved_ids);
	a.today = book_today(&a.book);
	a.since = INT32_MIN;
	if (since_text)
		date_read(slice_of(since_text), &a.since);
	if (a.since > a.today)
		tool_misused("--since %s is after the day of the answer, which --on names", since_text);
	read_book(&a);
	status = book_end(&a.book);
	a.nids = a.stock.ids.n;
	a.audit = mem_zeroed(a.nids, sizeof *a.audit);
	stock_run(&a.stock, a.today, take_flow, &a);
	adds_up = book_stock_tell(&a.book, &a.stock);
	if (want_orders)
		rows = print_orders(&a);
	else if (want_audit)
		rows = print_audit(&a);
	else
		rows = since_text ? print_moved(&a) : print_stock(&a);
	return tool_finish(rows && !status && !adds_up ? TOOL_DONE : TOOL_NO);
}
