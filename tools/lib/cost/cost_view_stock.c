
#include <stdlib.h>

#include "cost/cost_view_internal.h"

/* ---- the value of the stock */

static void say_method(const struct costing *c, struct buf *text)
{
	buf_str(text, c->ask->mean ? " by the weighted mean" : " by first-in, first-out");
}

static void say_stock(const struct costing *c, const struct cost_rows *r, struct table *t)
{
	int64_t waiting = cost_view_waiting(c);
	struct buf text = BUF_INIT;

	buf_str(&text, "On ");
	stock_say_day(&text, c->ask->today);
	buf_str(&text, " the ");
	stock_say_count(&text, r->all.n, SLICE("piece"));
	buf_str(&text, " in stock ");
	buf_str(&text, PLURAL(r->all.n, "is", "are"));
	buf_str(&text, " worth ");
	cost_book_money(&c->book, cost_row_sum(&r->all), &text);
	buf_str(&text, " at cost,");
	say_method(c, &text);
	buf_char(&text, '.');
	if (waiting) {
		buf_str(&text, " With ");
		cost_book_money(&c->book, waiting, &text);
		buf_str(&text, " that waits for its pieces it is ");
		cost_book_money(&c->book, cost_row_sum(&r->all) + waiting, &text);
		buf_char(&text, '.');
	}
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void put_value(const struct costing *c, struct table *t, int64_t n, int64_t sum)
{
	table_int(t, n);
	cost_view_currency(c, t);
	cost_view_money(c, t, sum);
	if (n)
		cost_view_money(c, t, money_part(sum, 1, n));
	else
		table_absent(t);
}

static void note_bare(int64_t n, struct table *t)
{
	struct buf text = BUF_INIT;

	if (!n)
		return;
	stock_say_count(&text, n, SLICE("piece"));
	buf_str(&text, PLURAL(n, " has no cost in the book and counts as 0", " have no cost in the book and count as 0"));
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

static void put_waiting(const struct costing *c, struct table *t, int64_t waiting)
{
	stock_cell_day(t, c->ask->today);
	for (size_t i = 0; i < c->ask->nby; i++)
		if (i)
			table_absent(t);
		else
			table_cstr(t, account_stage_words[ACCOUNT_WAITING]);
	put_value(c, t, 0, waiting);
}

void cost_view_stock(const struct costing *c, struct table *t)
{
	int64_t waiting = cost_view_waiting(c);
	struct cost_rows r;

	cost_rows_init(&r, c, COST_OF_STOCK);
	table_init(t, NULL, 0);
	table_add_column(t, "as_of", TABLE_DATE, 0);
	cost_view_keys(c, t);
	table_add_column(t, "pieces", TABLE_INT, 0);
	table_heading(t, "pieces");
	table_add_column(t, "currency", TABLE_TEXT, 0);
	cost_view_column(c, t, "value", "value");
	cost_view_column(c, t, "each", "each");
	if (waiting && c->ask->nby)
		put_waiting(c, t, waiting);
	for (size_t i = 0; i < r.n; i++) {
		stock_cell_day(t, c->ask->today);
		cost_view_row_keys(c, t, &r.row[i]);
		put_value(c, t, r.row[i].n, cost_row_sum(&r.row[i]));
	}
	if (r.n && c->ask->nby) {
		stock_cell_day(t, c->ask->today);
		cost_view_row_keys(c, t, NULL);
		put_value(c, t, r.all.n, cost_row_sum(&r.all) + waiting);
	}
	say_stock(c, &r, t);
	note_bare(r.all.bare, t);
	if (waiting)
		table_note(t, SLICE("waiting: spent, but its pieces did not come in yet, or its period is not over; in the sum of all"));
	cost_view_notes(c, t);
	cost_rows_release(&r);
}

/* ---- the account */

/* What the pieces of each stage have on them, counted by looking at them. */
static void count_stages(const struct costing *c, int64_t *value)
{
	const struct holdings *h = &c->holdings;

	for (int i = 0; i < ACCOUNT_STAGES; i++)
		value[i] = 0;
	value[ACCOUNT_WAITING] = cost_view_waiting(c);
	for (uint32_t id = 1; id < h->nbatches; id++) {
		size_t n;
		int64_t *money;

		if (h->batch[id].stage >= ACCOUNT_STAGES || !h->batch[id].first)
			continue;
		money = holdings_money(h, id, &n);
		for (size_t i = 0; i < n * h->nmoney; i++)
			value[h->batch[id].stage] += money[i];
		free(money);
	}
}

static void put_stage(const struct costing *c, struct table *t, const char *stage, const int64_t *count, int64_t closing, int64_t counted)
{
	if (c->ask->since == INT32_MIN)
		table_absent(t);
	else
		stock_cell_day(t, c->ask->since);
	stock_cell_day(t, c->ask->today);
	table_cstr(t, stage);
	cost_view_currency(c, t);
	for (int i = 0; i < ACCOUNT_COUNTS; i++)
		cost_view_money(c, t, count[i]);
	cost_view_money(c, t, closing);
	cost_view_money(c, t, counted);
}

static void start_account(const struct costing *c, struct table *t)
{
	table_init(t, NULL, 0);
	table_add_column(t, "since", TABLE_DATE, 0);
	table_add_column(t, "as_of", TABLE_DATE, 0);
	table_add_column(t, "stage", TABLE_TEXT, 0);
	table_heading(t, "stage");
	table_add_column(t, "currency", TABLE_TEXT, 0);
	cost_view_column(c, t, "opening", "opening");
	cost_view_column(c, t, "in", "in");
	cost_view_column(c, t, "passed", "passed");
	cost_view_column(c, t, "out", "out");
	cost_view_column(c, t, "lost", "lost");
	cost_view_column(c, t, "closing", "closing");
	cost_view_column(c, t, "counted", NULL);
}

static void say_account(const struct costing *c, const int64_t *sum, int64_t closing, struct table *t)
{
	struct buf text = BUF_INIT;

	buf_str(&text, "Since ");
	stock_say_day(&text, c->ask->since);
	buf_str(&text, " the stock went from ");
	cost_book_money(&c->book, sum[ACCOUNT_OPENING], &text);
	buf_str(&text, " to ");
	cost_book_money(&c->book, closing, &text);
	buf_str(&text, ": ");
	cost_book_money(&c->book, sum[ACCOUNT_IN], &text);
	buf_str(&text, " came in, ");
	cost_book_money(&c->book, sum[ACCOUNT_OUT], &text);
	buf_str(&text, " went out with what was sold and ");
	cost_book_money(&c->book, sum[ACCOUNT_LOSS], &text);
	buf_str(&text, " was lost and is on no other piece,");
	say_method(c, &text);
	buf_char(&text, '.');
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

void cost_view_account(const struct costing *c, struct table *t)
{
	const struct account *a = &c->holdings.account;
	int64_t sum[ACCOUNT_COUNTS] = { 0 }, counted[ACCOUNT_STAGES], closing = 0, all = 0;

	count_stages(c, counted);
	start_account(c, t);
	for (int i = 0; i < ACCOUNT_STAGES; i++) {
		put_stage(c, t, account_stage_words[i], a->count[i], account_closing(a, (enum account_stage)i), counted[i]);
		for (int k = 0; k < ACCOUNT_COUNTS; k++)
			sum[k] += a->count[i][k];
		closing += account_closing(a, (enum account_stage)i);
		all += counted[i];
	}
	put_stage(c, t, "all", sum, closing, all);
	say_account(c, sum, closing, t);
	table_note(t, SLICE("opening + in + passed - out - lost = closing; passed: from other stages less what went on to them; lost: only what no good piece carries"));
	cost_view_notes(c, t);
}
