
#include <stdlib.h>

#include "book/value.h"
#include "cost/cost_view_internal.h"

/* What is asked for: an id, and the lots and charges that it stands for, by cohort. */
struct lines_of {
	const struct costing *c;
	uint32_t id;
	bool *cohort;              /* whether a cohort's pieces are of it */
	bool *lot;                 /* of a bat or a pool, by id: whether it has pieces of the lot */
	bool bat, shared;          /* a bat; it or a pool, whose pieces only share what is on their lots */
	bool charge;               /* a charge, which has the costs of drying its pieces, and no other */
	int64_t *here;             /* by entry: how much of it is on these pieces */
	bool *has;                 /* by entry: whether it is one of the lines */
};

static bool is_of(const struct lines_of *l, struct cohort_key key)
{
	static const enum origin_key KEYS[] = { PROVENANCE_LOT, PROVENANCE_TREE, PROVENANCE_PARCEL, PROVENANCE_SUPPLIER };

	if (key.charge == l->id || key.pool == l->id || key.lot == l->id)
		return true;
	for (size_t i = 0; i < sizeof KEYS / sizeof *KEYS; i++)
		if (provenance_key(l->c->origins, key.lot, KEYS[i]) == l->id)
			return true;
	return false;
}

/* The cohorts of the layers of a bat: its blade's and its handle's. */
static void mark_bat(struct lines_of *l)
{
	const struct holdings *h = &l->c->holdings;

	for (uint32_t b = l->id < h->nids ? h->kind_of_lot[l->id] : 0; b; b = h->batch[b - 1].next_of_lot)
		for (uint32_t at = h->batch[b - 1].kind.form == FORM_BAT ? h->batch[b - 1].first : 0; at; at = h->layer[at - 1].next) {
			l->cohort[h->cohort[h->layer[at - 1].is.cohort].base] = true;
			l->bat = l->shared = true;
		}
}

/* What a lot cost went on pieces that were dried only later. */
static bool has_record(const struct lines_of *l, const struct spread_record *r)
{
	const struct cost_entry *e = &l->c->book.entry[r->entry];

	if (e->subject == l->id)
		return true;
	if (l->charge)
		return l->cohort[r->base] && l->c->book.element[e->element].use == COST_FOR_DRYING;
	if (l->cohort[r->base])
		return true;
	return l->shared && e->role & (COST_TREE | COST_PARCEL | COST_LOT | COST_POOL) && l->lot[l->c->holdings.cohort[r->base].key.lot];
}

static void find_lines(struct lines_of *l)
{
	const struct costing *c = l->c;
	const struct holdings *h = &c->holdings;
	size_t ncohorts = h->cohort_ids.n;

	l->cohort = mem_zeroed(ncohorts, sizeof *l->cohort);
	l->lot = mem_zeroed(h->nids, sizeof *l->lot);
	l->here = mem_zeroed(c->book.n, sizeof *l->here);
	l->has = mem_zeroed(c->book.n, sizeof *l->has);
	mark_bat(l);
	l->shared |= (cost_book_role(&c->book, l->id) & COST_POOL) != 0;
	l->charge = (cost_book_role(&c->book, l->id) & COST_CHARGE) != 0;
	for (size_t i = 0; !l->bat && i + 1 < ncohorts; i++)
		if (is_of(l, h->cohort[i].key))
			l->cohort[h->cohort[i].base] = true;
	for (size_t i = 0; i + 1 < ncohorts; i++)
		if (l->cohort[i])
			l->lot[h->cohort[i].key.lot] = true;
	for (size_t i = 0; i < c->out.nrecords; i++) {
		const struct spread_record *r = &c->out.record[i];

		if (!has_record(l, r))
			continue;
		l->has[r->entry] = true;
		l->here[r->entry] += r->amount;
	}
	for (size_t i = 0; i < c->book.n; i++)
		l->has[i] |= c->book.entry[i].subject == l->id;
}

/* ---- the table */

static void start_table(const struct costing *c, bool shared, struct table *t)
{
	table_init(t, NULL, 0);
	table_add_column(t, "as_of", TABLE_DATE, 0);
	table_add_column(t, "file", TABLE_TEXT, 0);
	table_add_column(t, "line", TABLE_TEXT, 0);
	table_heading(t, "line");
	table_add_column(t, "date", TABLE_DATE, 0);
	table_heading(t, "date");
	table_add_column(t, "event", TABLE_TEXT, 0);
	table_add_column(t, "subject", TABLE_TEXT, 0);
	table_heading(t, "for");
	table_add_column(t, "kind", TABLE_TEXT, 0);
	table_heading(t, "kind");
	table_add_column(t, "paid", TABLE_TEXT, 0);
	table_heading(t, "paid");
	table_add_column(t, "rate", TABLE_TEXT, 0);
	table_add_column(t, "rate_day", TABLE_DATE, 0);
	table_add_column(t, "rate_age_days", TABLE_INT, 0);
	table_heading(t, "rate's days");
	table_add_column(t, "currency", TABLE_TEXT, 0);
	cost_view_column(c, t, "cost", shared ? "cost" : NULL);
	cost_view_column(c, t, "here", shared ? NULL : "here");
	cost_view_column(c, t, "waiting", NULL);
}

static void put_paid(const struct cost_entry *e, struct table *t)
{
	struct buf text = BUF_INIT;

	buf_fixed(&text, e->paid, (unsigned)vocab_currency_places(e->unit));
	buf_add(&text, vocab_currency_code(e->unit));
	table_text(t, buf_slice(&text));
	buf_release(&text);
}

static void put_rate(const struct costing *c, const struct cost_entry *e, struct table *t)
{
	struct buf text = BUF_INIT;

	if (!e->rate) {
		for (int i = 0; i < 3; i++)
			table_absent(t);
		return;
	}
	value_write_fix(&text, e->rate, 8);
	buf_add(&text, vocab_currency_code(c->book.own));
	table_text(t, buf_slice(&text));
	stock_cell_day(t, e->rate_day);
	table_int(t, e->day - e->rate_day);
	buf_release(&text);
}

/* All entries of the line, of which the i-th is the first. */
static void put_line(const struct lines_of *l, size_t i, const char *const *path, struct table *t)
{
	const struct costing *c = l->c;
	const struct cost_entry *e = &c->book.entry[i];
	int64_t amount = 0, here = 0, rest = 0;

	for (size_t k = i; k < i + e->nparts; k++) {
		amount += c->book.entry[k].amount;
		here += l->here[k];
		rest += c->out.rest[k];
	}

	stock_cell_day(t, c->ask->today);
	stock_cells_line(t, path[e->file], e->line);
	stock_cell_day(t, e->day);
	table_text(t, e->event_name);
	table_text(t, e->name);
	table_text(t, e->kind_name);
	put_paid(e, t);
	put_rate(c, e, t);
	cost_view_currency(c, t);
	cost_view_money(c, t, amount);
	if (l->shared && e->subject != l->id)
		table_absent(t);
	else
		cost_view_money(c, t, here);
	cost_view_money(c, t, rest);
}

/* ---- the finding */

/* All money on a bat. */
static int64_t bat_money(const struct lines_of *l)
{
	const struct holdings *h = &l->c->holdings;
	int64_t sum = 0;

	for (uint32_t b = h->kind_of_lot[l->id]; b; b = h->batch[b - 1].next_of_lot) {
		size_t n;
		int64_t *money;

		if (h->batch[b - 1].kind.form != FORM_BAT || !h->batch[b - 1].first)
			continue;
		money = holdings_money(h, b - 1, &n);
		for (size_t i = 0; i < n * h->nmoney; i++)
			sum += money[i];
		free(money);
	}
	return sum;
}

/* " 2 lines about it are not spread over pieces." */
static void say_unspread(int64_t n, struct buf *text)
{
	if (!n)
		return;
	buf_char(text, ' ');
	stock_say_count(text, n, SLICE("line"));
	buf_str(text, n == 1 ? " about it is not spread over pieces." : " about it are not spread over pieces.");
}

static void say_lines(const struct lines_of *l, struct slice id, const int64_t *n, int64_t here, struct table *t)
{
	struct buf text = BUF_INIT;

	if (n[0] && l->bat) {
		buf_add(&text, id);
		buf_str(&text, " cost ");
		cost_book_money(&l->c->book, bat_money(l), &text);
		buf_str(&text, ", its share of ");
		stock_say_count(&text, n[0], SLICE("line"));
		buf_char(&text, '.');
	} else if (n[0] && l->shared) {
		buf_str(&text, "The pieces of ");
		buf_add(&text, id);
		buf_str(&text, " have a share of ");
		stock_say_count(&text, n[0], SLICE("line"));
		buf_char(&text, '.');
	} else if (n[0]) {
		stock_say_count(&text, n[0], SLICE("line"));
		buf_str(&text, n[0] == 1 ? " puts " : " put ");
		cost_book_money(&l->c->book, here, &text);
		buf_str(&text, " on the pieces of ");
		buf_add(&text, id);
		buf_str(&text, l->charge ? " for drying them" : "");
		buf_char(&text, '.');
	} else {
		buf_str(&text, l->charge ? "No line of the book puts a cost of drying on the pieces of " : "No line of the book puts a cost on the pieces of ");
		buf_add(&text, id);
		buf_char(&text, '.');
	}
	say_unspread(n[1], &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static bool has_rate(const struct lines_of *l)
{
	for (size_t i = 0; i < l->c->book.n; i++)
		if (l->has[i] && l->c->book.entry[i].rate)
			return true;
	return false;
}

void cost_view_lines(const struct costing *c, struct slice id, const char *const *path, struct table *t)
{
	struct lines_of l = { .c = c, .id = intern_find(&c->stock->ids, id) };
	int64_t n[2] = { 0, 0 }, here = 0; /* lines that are spread, and others */

	if (l.id)
		find_lines(&l);
	start_table(c, l.shared, t);
	for (size_t i = 0; l.id && i < c->book.n; i += c->book.entry[i].nparts) {
		bool has = false;

		for (size_t k = i; k < i + c->book.entry[i].nparts; k++) {
			has |= l.has[k];
			here += l.here[k];
		}
		if (has)
			put_line(&l, i, path, t);
		n[!cost_entry_is_spread(&c->book.entry[i])] += has;
	}
	say_lines(&l, id, n, here, t);
	if (n[0] && !l.shared)
		table_note(t, SLICE("here: what of the line was put on these pieces; what they took over from culled pieces later is not in it"));
	if (l.charge)
		table_note(t, SLICE("of a charge: the lines for it, and those for its kiln; for what its wood cost before and after, name its lots"));
	if (n[0] && has_rate(&l))
		table_note(t, SLICE("rate's days: how old the exchange rate was"));
	free(l.cohort);
	free(l.lot);
	free(l.here);
	free(l.has);
}
