
#include <stdlib.h>

#include "cost/cost_view_internal.h"

struct kind_sum {
	int64_t spent, waiting, stock, sold, lost, unspread;
};

static void add_pieces(const struct costing *c, struct kind_sum *sum)
{
	const struct holdings *h = &c->holdings;
	size_t n = c->book.nelements;

	for (uint32_t id = 1; id < h->nbatches; id++) {
		size_t nlayers;
		int64_t *money;

		if (!h->batch[id].first)
			continue;
		money = holdings_money(h, id, &nlayers);
		for (size_t i = 0; i < nlayers * h->nmoney; i++)
			*(h->batch[id].stage == ACCOUNT_SOLD ? &sum[i % n].sold : &sum[i % n].stock) += money[i];
		free(money);
	}
}

static void add_entries(const struct costing *c, struct kind_sum *sum)
{
	for (size_t i = 0; i < c->book.n; i++) {
		const struct cost_entry *e = &c->book.entry[i];

		sum[e->element].spent += e->amount;
		sum[e->element].waiting += c->out.rest[i];
		if (!cost_entry_is_spread(e))
			sum[e->element].unspread += e->amount;
	}
	for (size_t e = 0; e < c->book.nelements; e++)
		sum[e].lost += c->lost[e];
}

static void put_kind(const struct costing *c, struct table *t, struct slice kind, const char *use, const struct kind_sum *k)
{
	stock_cell_day(t, c->ask->today);
	stock_cell_word(t, kind);
	table_cstr(t, use);
	cost_view_currency(c, t);
	cost_view_money(c, t, k->spent);
	cost_view_money(c, t, k->waiting);
	cost_view_money(c, t, k->stock);
	cost_view_money(c, t, k->sold);
	cost_view_money(c, t, k->lost);
	cost_view_money(c, t, k->unspread);
}

static void start_kinds(const struct costing *c, struct table *t)
{
	table_init(t, NULL, 0);
	table_add_column(t, "as_of", TABLE_DATE, 0);
	table_add_column(t, "kind", TABLE_TEXT, 0);
	table_heading(t, "kind");
	table_add_column(t, "use", TABLE_TEXT, 0);
	table_heading(t, "use");
	table_add_column(t, "currency", TABLE_TEXT, 0);
	cost_view_column(c, t, "spent", "spent");
	cost_view_column(c, t, "waiting", "waiting");
	cost_view_column(c, t, "in_stock", "in stock");
	cost_view_column(c, t, "sold", "sold");
	cost_view_column(c, t, "lost", "lost");
	cost_view_column(c, t, "unspread", "not spread");
}

struct kind_row {
	struct slice kind;
	enum cost_use use;
	struct kind_sum sum;
};

static int by_kind(const void *a, const void *b)
{
	const struct kind_row *x = a, *y = b;
	int order = slice_cmp(x->kind, y->kind);

	return order ? order : (x->use > y->use) - (x->use < y->use);
}

static void add_sum(struct kind_sum *to, const struct kind_sum *k)
{
	to->spent += k->spent;
	to->waiting += k->waiting;
	to->stock += k->stock;
	to->sold += k->sold;
	to->lost += k->lost;
	to->unspread += k->unspread;
}

/* A row for each kind and use, sorted; returns how many. */
static size_t rows_of(const struct costing *c, const struct kind_sum *sum, struct kind_row *row)
{
	size_t n = c->book.nelements, kept = 0;

	for (size_t i = 0; i < n; i++)
		row[i] = (struct kind_row){ stock_text(c->stock, c->book.element[i].kind), c->book.element[i].use, sum[i] };
	if (n)
		qsort(row, n, sizeof *row, by_kind);
	for (size_t i = 0; i < n; i++)
		if (kept && by_kind(&row[kept - 1], &row[i]) == 0)
			add_sum(&row[kept - 1].sum, &row[i].sum);
		else
			row[kept++] = row[i];
	return kept;
}

static void say_kinds(const struct costing *c, const struct kind_sum *all, struct table *t)
{
	struct buf text = BUF_INIT;

	buf_str(&text, "Up to ");
	stock_say_day(&text, c->ask->today);
	buf_char(&text, ' ');
	cost_book_money(&c->book, all->spent, &text);
	buf_str(&text, " was spent: ");
	cost_book_money(&c->book, all->stock, &text);
	buf_str(&text, " is on pieces in stock, ");
	cost_book_money(&c->book, all->sold, &text);
	buf_str(&text, " on sold ones, ");
	cost_book_money(&c->book, all->lost, &text);
	buf_str(&text, " was lost and is on no other piece, ");
	cost_book_money(&c->book, all->waiting, &text);
	buf_str(&text, " waits for its pieces and ");
	cost_book_money(&c->book, all->unspread, &text);
	buf_str(&text, " is not spread.");
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

void cost_view_kinds(const struct costing *c, struct table *t)
{
	struct kind_sum *sum = mem_zeroed(c->book.nelements, sizeof *sum), all = { 0, 0, 0, 0, 0, 0 };
	struct kind_row *row = mem_array(c->book.nelements, sizeof *row);
	size_t n;

	add_entries(c, sum);
	add_pieces(c, sum);
	n = rows_of(c, sum, row);
	start_kinds(c, t);
	for (size_t i = 0; i < n; i++) {
		put_kind(c, t, row[i].kind, cost_use_words[row[i].use], &row[i].sum);
		add_sum(&all, &row[i].sum);
	}
	if (n)
		put_kind(c, t, SLICE("all"), NULL, &all);
	say_kinds(c, &all, t);
	table_note(t, SLICE("spent = waiting + in stock + sold + lost + not spread; what culled pieces had cost is on those that carry it"));
	cost_view_notes(c, t);
	free(sum);
	free(row);
}
