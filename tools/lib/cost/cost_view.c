#include "cost/cost_view.h"

#include "cost/cost_view_internal.h"


/* ---- parts of all tables */

void cost_view_column(const struct costing *c, struct table *t, const char *name, const char *heading)
{
	table_add_column(t, name, TABLE_FIXED, (unsigned)c->book.places);
	table_heading(t, heading);
}

void cost_view_money(const struct costing *c, struct table *t, int64_t amount)
{
	table_fixed(t, amount, (unsigned)c->book.places);
}

void cost_view_currency(const struct costing *c, struct table *t)
{
	stock_cell_word(t, c->book.own < 0 ? SLICE("") : vocab_currency_code(c->book.own));
}

void cost_view_keys(const struct costing *c, struct table *t)
{
	for (size_t i = 0; i < c->ask->nby; i++) {
		table_add_column(t, cost_by_words[c->ask->by[i]], TABLE_TEXT, 0);
		table_heading(t, cost_by_words[c->ask->by[i]]);
	}
}

int64_t cost_view_waiting(const struct costing *c)
{
	int64_t sum = 0;

	for (size_t i = 0; i < c->book.n; i++)
		sum += c->out.rest[i];
	return sum;
}

static void note_rates(const struct costing *c, struct table *t)
{
	const struct cost_entry *oldest = NULL;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < c->book.n; i++) {
		const struct cost_entry *e = &c->book.entry[i];

		if (e->rate && (!oldest || e->day - e->rate_day > oldest->day - oldest->rate_day))
			oldest = e;
	}
	if (!oldest)
		return;
	buf_str(&text, "other currencies are converted at the latest rate on or before the day; the oldest in use was ");
	stock_say_count(&text, oldest->day - oldest->rate_day, SLICE("day"));
	buf_str(&text, " old");
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

static void note_waiting(const struct costing *c, struct table *t)
{
	int64_t waiting = cost_view_waiting(c);
	struct buf text = BUF_INIT;

	if (!waiting)
		return;
	cost_book_money(&c->book, waiting, &text);
	buf_str(&text, " of the costs is on no piece yet; --kinds shows which");
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

void cost_view_notes(const struct costing *c, struct table *t)
{
	note_rates(c, t);
	note_waiting(c, t);
}

void cost_view_row_keys(const struct costing *c, struct table *t, const struct cost_row *row)
{
	for (size_t i = 0; i < c->ask->nby; i++)
		if (row)
			stock_cell_word(t, row->key[i]);
		else
			table_cstr(t, "all");
}
