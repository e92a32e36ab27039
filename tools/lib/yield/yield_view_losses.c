#include <stdlib.h>

#include "cost/costing.h"
#include "yield/yield_losses.h"
#include "yield/yield_view_internal.h"

/* ---- money, of this table and that of the baseline */

const struct cost_book *yield_view_prices(const struct loss_log *log)
{
	return log && log->costing && log->costing->book.n ? &log->costing->book : NULL;
}

void yield_view_add_money(const struct yield_rows *y, struct table *t, const struct cost_book *prices, const char *name, const char *heading, size_t rank, size_t before)
{
	struct yield_column column = { name, TABLE_FIXED, (unsigned char)(prices ? prices->places : 0), (unsigned char)rank, prices ? heading : NULL };

	yield_view_add_columns(y, t, &column, 1, before);
}

void yield_view_money(struct table *t, const struct cost_book *prices, int64_t amount)
{
	if (prices)
		table_fixed(t, amount, (unsigned)prices->places);
	else
		table_absent(t);
}

void yield_view_currency(struct table *t, const struct cost_book *prices)
{
	stock_cell_word(t, prices && prices->own >= 0 ? vocab_currency_code(prices->own) : SLICE(""));
}

void yield_view_note_money(struct table *t, const struct cost_book *prices)
{
	if (prices)
		table_note(t, SLICE("cost: what the pieces had cost by the day they were culled; later bills, such as for power, are not in it; pieces culled on arrival have no cost"));
}

/* ---- the rows */

/* The share of a row's pieces that was lost for the cause, as good as fewer pieces where lots differ, and the point of its interval. */
static struct stage_share share_of(struct yield_loss_spreads *spreads, const struct yield_loss *loss, double *point)
{
	const struct yield_rows *y = spreads->rows;
	const struct spread *spread = yield_loss_spread(spreads, y->row[loss->row].head.step, loss->cause);
	int64_t all = stages_entered(y->row[loss->row].n);

	*point = yield_spread_point(y, spread, loss->row);
	return (struct stage_share){ all > 0, (double)loss->n / (double)all, (double)all / yield_spread_design(y, spread, loss->row) };
}

static void put_loss(struct yield_loss_spreads *spreads, struct table *t, const struct yield_loss *loss, const struct cost_book *prices)
{
	const struct yield_rows *y = spreads->rows;
	const struct yield_row *r = &y->row[loss->row];
	double point;
	struct stage_share share;

	if (!yield_view_has_row(y, loss->row))
		return;
	share = share_of(spreads, loss, &point);
	yield_view_head(y, t, &r->head);
	table_text(t, loss->cause);
	table_int(t, loss->n);
	table_int(t, stages_entered(r->n));
	yield_view_share(t, share, point);
	yield_view_currency(t, prices);
	yield_view_money(t, prices, loss->money);
}

/* ---- the finding */

/* "knot in plane" */
static void say_where(const struct yield_rows *y, const struct yield_loss *loss, struct buf *text)
{
	buf_add(text, loss->cause);
	buf_printf(text, " in %s", stages_step_words[y->row[loss->row].head.step]);
}

static void say_money(const struct yield_rows *y, const struct yield_loss *loss, size_t n, const struct cost_book *prices, struct buf *text)
{
	const struct yield_loss *most = yield_losses_most(y, loss, n, true);

	if (!prices || !most || most->money <= 0)
		return;
	buf_str(text, " Most money was lost by ");
	say_where(y, most, text);
	buf_str(text, ": ");
	cost_book_money(prices, most->money, text);
	buf_char(text, '.');
}

static void say_counts(const struct yield_rows *y, const struct loss_log *log, struct buf *text)
{
	if (!log || log->missing + log->found == 0 || y->ask->from != INT32_MIN || y->ask->to != INT32_MAX)
		return;
	buf_str(text, " In stock counts ");
	stock_say_count(text, log->missing, SLICE("piece"));
	buf_str(text, PLURAL(log->missing, " was missing", " were missing"));
	if (log->found) {
		buf_str(text, ", and ");
		buf_int(text, log->found);
		buf_str(text, PLURAL(log->found, " was", " were"));
		buf_str(text, " found that the book did not have");
	}
	buf_char(text, '.');
}

static void say_all(const struct yield_rows *y, const struct yield_loss *loss, size_t n, const struct cost_book *prices, struct buf *text)
{
	int64_t culled = y->row[y->nrows - 1].n[STAGE_CULLED], money = 0;

	for (size_t i = 0; i < n; i++)
		money += loss[i].row + 1 == y->nrows ? loss[i].money : 0;
	stock_say_count(text, culled, SLICE("piece"));
	buf_str(text, PLURAL(culled, " was", " were"));
	buf_str(text, " culled");
	if (prices && money) {
		buf_str(text, "; the cost on them was ");
		cost_book_money(prices, money, text);
	}
	buf_char(text, '.');
}

/* "1475 pieces were culled. The most frequent cause in one step is knot in plane: 178 of 14173 (...)." */
static void say_losses(struct yield_loss_spreads *spreads, const struct yield_loss *loss, size_t n, const struct loss_log *log, struct table *t)
{
	const struct yield_rows *y = spreads->rows;
	const struct yield_loss *most = yield_losses_most(y, loss, n, false);
	const struct cost_book *prices = yield_view_prices(log);
	struct buf text = BUF_INIT;
	struct stage_share share;
	double low, high, point;

	if (!most) {
		table_finding(t, SLICE("No piece was culled on these days."));
		return;
	}
	share = share_of(spreads, most, &point);
	say_all(y, loss, n, prices, &text);
	buf_str(&text, " The most frequent cause in one step is ");
	say_where(y, most, &text);
	buf_printf(&text, ": %lld of %lld (", (long long)most->n, (long long)stages_entered(y->row[most->row].n));
	wilson_share(share.p, share.n, point, &low, &high);
	stock_say_interval(&text, share.p, low, high);
	buf_str(&text, ").");
	say_money(y, loss, n, prices, &text);
	say_counts(y, log, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

void yield_view_losses(const struct yield_rows *y, const struct loss_log *log, struct table *t)
{
	enum { CAUSE = 11 };
	static const struct yield_column COLUMNS[] = { { "count", TABLE_INT, 0, 0, "cull" }, { "entered", TABLE_INT, 0, 3, "of" },
		{ "share", TABLE_REAL, TABLE_PERCENT + 1, 1, "share" }, { "share_low", TABLE_REAL, TABLE_PERCENT + 1, 5, "at least" }, { "share_high", TABLE_REAL, TABLE_PERCENT + 1, 5, "at most" } };
	const struct cost_book *prices = yield_view_prices(log);
	struct yield_loss_spreads spreads = { .rows = y };
	size_t n;
	struct yield_loss *loss = yield_losses_of(y, log, &n);

	yield_view_start(y, t);
	table_add_column(t, "cause", TABLE_TEXT, 0);
	table_heading(t, "cause");
	yield_view_add_columns(y, t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS, CAUSE);
	table_add_column(t, "currency", TABLE_TEXT, 0);
	yield_view_add_money(y, t, prices, "cost", "cost", 2, CAUSE);
	for (size_t i = 0; i < n; i++)
		put_loss(&spreads, t, &loss[i], prices);
	say_losses(&spreads, loss, n, log, t);
	table_note(t, SLICE("share: the per cent of all pieces that were in the step"));
	if (yield_view_shows(t, "share_high"))
		table_note(t, SLICE("at least, at most: its 95 % interval; from 5 lots on it allows for the differences between lots"));
	yield_view_note_money(t, prices);
	yield_loss_spreads_release(&spreads);
	free(loss);
}
