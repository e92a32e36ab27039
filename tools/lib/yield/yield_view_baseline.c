#include <math.h>

#include "cost/costing.h"
#include "yield/yield_baseline.h"
#include "yield/yield_view_internal.h"

static double share_of(int64_t n, int64_t all)
{
	return all > 0 ? (double)n / (double)all : NAN;
}

static void put_expected(struct table *t, const struct baseline_loss *l)
{
	if (!l->known) {
		for (int i = 0; i < 6; i++)
			table_absent(t);
		return;
	}
	table_real(t, l->expected);
	table_int(t, l->low);
	table_int(t, l->high);
	table_real(t, l->outlook.correlation);
	table_real(t, l->p);
	table_real(t, l->adjusted);
}

static void put_loss(const struct yield_baseline *b, struct table *t, const struct baseline_loss *l, const struct cost_book *prices)
{
	if (!yield_view_has_row(b->rows, l->row))
		return;
	yield_view_head(b->rows, t, &b->rows->row[l->row].head);
	stock_cell_day(t, b->edge[0]);
	table_text(t, l->cause);
	table_int(t, l->n);
	table_int(t, l->of);
	table_real(t, share_of(l->n, l->of));
	table_int(t, l->before_n);
	table_int(t, l->before_of);
	table_real(t, share_of(l->before_n, l->before_of));
	put_expected(t, l);
	table_cstr(t, l->moved > 0 ? "more" : l->moved < 0 ? "fewer" : NULL);
	yield_view_currency(t, prices);
	yield_view_money(t, prices, l->money);
	yield_view_money(t, prices, prices ? money_part(l->before_money, 1, (int64_t)b->months) : 0);
}

static void add_columns(const struct yield_baseline *b, struct table *t, const struct cost_book *prices)
{
	enum { CAUSE = 11, HIDDEN = 99, SHARE = TABLE_PERCENT + 1 };
	static const struct yield_column COLUMN[] = {
		{ "count", TABLE_INT, 0, 0, "cull" }, { "of", TABLE_INT, 0, 7, "of" }, { "share", TABLE_REAL, SHARE, 1, "share" },
		{ "baseline_count", TABLE_INT, 0, HIDDEN, NULL }, { "baseline_of", TABLE_INT, 0, HIDDEN, NULL },
		{ "baseline_share", TABLE_REAL, SHARE, 2, "before" }, { "expected", TABLE_REAL, 1, HIDDEN, NULL },
		{ "expected_low", TABLE_INT, 0, 6, "at least" }, { "expected_high", TABLE_INT, 0, 6, "at most" },
		{ "correlation", TABLE_REAL, 4, HIDDEN, NULL }, { "p", TABLE_REAL, 3, HIDDEN, NULL }, { "p_adjusted", TABLE_REAL, 3, HIDDEN, NULL },
		{ "moved", TABLE_TEXT, 0, 3, "moved" }
	};

	yield_view_start(b->rows, t);
	table_add_column(t, "baseline", TABLE_DATE, 0);
	table_add_column(t, "cause", TABLE_TEXT, 0);
	table_heading(t, "cause");
	yield_view_add_columns(b->rows, t, COLUMN, sizeof COLUMN / sizeof *COLUMN, CAUSE);
	table_add_column(t, "currency", TABLE_TEXT, 0);
	yield_view_add_money(b->rows, t, prices, "cost", "cost", 4, CAUSE);
	yield_view_add_money(b->rows, t, prices, "baseline_cost_month", NULL, HIDDEN, CAUSE);
}

/* ---- the finding */

static void say_moved(const struct yield_baseline *b, const struct baseline_loss *l, struct buf *text)
{
	const struct yield_head *head = &b->rows->row[l->row].head;

	buf_str(text, l->moved > 0 ? " More than expected: " : " Fewer than expected: ");
	buf_add(text, l->cause);
	buf_printf(text, " in %s", stages_step_words[head->step]);
	for (size_t i = 0; i < b->rows->ask->nby && l->row < yield_rows_total(b->rows); i++) {
		buf_str(text, i ? ", " : " of ");
		buf_add(text, head->key[i].n ? head->key[i] : SLICE("-"));
	}
	buf_printf(text, ", %lld of %lld (", (long long)l->n, (long long)l->of);
	stock_say_percent(text, share_of(l->n, l->of));
	buf_str(text, "; before ");
	stock_say_percent(text, l->outlook.share);
	buf_str(text, ").");
}

static void say_all_moved(const struct yield_baseline *b, struct buf *text)
{
	enum { MOST = 3 };
	size_t said = 0, moved = 0;

	for (size_t i = 0; i < b->n; i++) {
		if (!b->loss[i].moved || !yield_view_has_row(b->rows, b->loss[i].row))
			continue;
		moved++;
		if (said < MOST) {
			say_moved(b, &b->loss[i], text);
			said++;
		}
	}
	if (!moved)
		buf_str(text, " No cause moved by more than chance and the differences between months explain.");
	else if (moved > said)
		buf_printf(text, " %zu more moved.", moved - said);
}

static void say_money(const struct yield_baseline *b, const struct cost_book *prices, struct buf *text)
{
	if (!prices || !(b->money || b->before_money))
		return;
	buf_str(text, " The cost on them was ");
	cost_book_money(prices, b->money, text);
	buf_str(text, "; in a month before, ");
	cost_book_money(prices, money_part(b->before_money, 1, (int64_t)b->months), text);
	buf_char(text, '.');
}

static bool has_known(const struct yield_baseline *b)
{
	for (size_t i = 0; i < b->n; i++)
		if (b->loss[i].known)
			return true;
	return false;
}

static void say_expected(const struct yield_baseline *b, struct buf *text)
{
	if (!has_known(b)) {
		buf_str(text, " culled; the ");
		stock_say_count(text, (int64_t)b->months, SLICE("month"));
		buf_str(text, " before have no pieces to compare them with.");
		return;
	}
	buf_str(text, " culled; by the ");
	stock_say_count(text, (int64_t)b->months, SLICE("month"));
	buf_str(text, " before, ");
	buf_real_shown(text, b->expected, 0);
	buf_str(text, " were to be expected.");
}

static void say(const struct yield_baseline *b, const struct cost_book *prices, struct table *t)
{
	struct buf text = BUF_INIT;

	if (!b->n) {
		table_finding(t, SLICE("No piece was culled on these days or in the months before."));
		return;
	}
	buf_str(&text, "From ");
	stock_say_day(&text, b->rows->ask->since);
	buf_str(&text, " to ");
	stock_say_day(&text, b->rows->ask->today);
	buf_char(&text, ' ');
	stock_say_count(&text, b->culled, SLICE("piece"));
	buf_str(&text, PLURAL(b->culled, " was", " were"));
	say_expected(b, &text);
	say_money(b, prices, &text);
	if (has_known(b))
		say_all_moved(b, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

void yield_view_baseline(const struct yield_baseline *b, const struct loss_log *log, struct table *t)
{
	const struct cost_book *prices = yield_view_prices(log);

	add_columns(b, t, prices);
	for (size_t i = 0; i < b->n; i++)
		put_loss(b, t, &b->loss[i], prices);
	say(b, prices, t);
	table_note(t, SLICE("share, before: of the pieces on lines that take them out of the step; if most of a cause were culled waiting, of all pieces in the step"));
	if (yield_view_shows(t, "expected_high"))
		table_note(t, SLICE("at least, at most: 95 % of such periods have so many culls, by the months before and by how much they differ (beta-binomial)"));
	if (yield_view_shows(t, "moved"))
		table_note(t, SLICE("moved: outside of what is expected; at most 1 in 20 of those named is chance"));
	yield_view_note_money(t, prices);
}
