#include "month/history_sections.h"

#include "month/month.h"
#include "month/section_columns.h"
#include "table/table_read.h"

enum { NONE = -1 };

/* The row whose column is that word, or NONE. */
static long find_row(const struct table *t, const char *column, struct slice word)
{
	for (size_t row = 0; row < table_rows(t); row++)
		if (slice_eq(table_word(t, row, column), word))
			return (long)row;
	return NONE;
}

/* ---- what a usable blade cost */

void section_cost(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "supplier", "supplier", WORD, 0, NULL }, { "blades", "blades", COUNT, 0, NULL },
		{ "each", "each", HUNDREDTHS, 0, NULL }, { "currency", "", WORD, 0, NULL }, { "timber_share", "timber, %", PERCENT, 0, NULL },
		{ "drying_share", "drying, %", PERCENT, 0, NULL }, { "losses_share", "losses, %", PERCENT, 0, NULL },
		{ "each", "each before", HUNDREDTHS, 0, NULL } };
	enum { NOW = SECTION_LENGTH(columns) - 1 };
	const struct table *now = &m->history.cost, *before = &m->history.cost_before;

	section_start(t, columns, SECTION_LENGTH(columns));
	for (size_t row = 0; row < table_rows(now); row++) {
		long was = find_row(before, "supplier", table_word(now, row, "supplier"));

		section_row(t, columns, NOW, now, row);
		if (was >= 0)
			table_copy_cell(t, before, (size_t)was, "each");
		else
			table_absent(t);
	}
}

/* ---- losses */

static bool has_moved(const struct table *t, size_t row)
{
	return table_has(t, row, "moved");
}

static void write_expected(const struct table *t, size_t row, struct buf *out)
{
	section_range(out, t, row, "expected_low", "expected_high", 0, 1);
}

void section_culls(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "step", "step", WORD, 0, NULL }, { "cause", "cause", WORD, 0, NULL },
		{ "count", "pieces", COUNT, 0, NULL }, { "share", "of those present, %", PERCENT, 1, NULL }, { "baseline_share", "before, %", PERCENT, 1, NULL },
		{ NULL, "expected", WORD, 0, write_expected }, { "moved", "moved", WORD, 0, NULL }, { "cost", "cost on them", HUNDREDTHS, 0, NULL },
		{ "currency", "", WORD, 0, NULL } };
	const struct table *from = &m->history.losses;

	section_start(t, columns, SECTION_LENGTH(columns));
	for (size_t row = 0; row < table_rows(from); row++)
		if (table_count(from, row, "count") || has_moved(from, row))
			section_row(t, columns, SECTION_LENGTH(columns), from, row);
}

/* ---- claims */

/* Whether blades of the supplier, or of the lot where it has one, were graded this month. */
static bool is_of_month(const struct month *m, struct slice supplier, struct slice lot)
{
	const struct table *now = &m->history.claimed_now;

	for (size_t row = 0; row < table_rows(now); row++)
		if (slice_eq(table_word(now, row, "supplier"), supplier) && slice_eq(table_word(now, row, "lot"), lot))
			return true;
	return false;
}

void section_claims(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "supplier", "supplier", WORD, 0, NULL }, { "lot", "lot", WORD, 0, NULL },
		{ "graded", "graded", COUNT, 0, NULL }, { "grade", "grade", WORD, 0, NULL }, { "claimed", "claimed, %", PERCENT, 0, NULL },
		{ "met", "met, %", PERCENT, 0, NULL }, { "short", "blades short", WHOLE, 0, NULL }, { "price_short", "price short", HUNDREDTHS, 0, NULL },
		{ "currency", "", WORD, 0, NULL } };
	const struct table *from = &m->history.claimed;

	section_start(t, columns, SECTION_LENGTH(columns));
	for (size_t row = 0; row < table_rows(from); row++)
		if (is_of_month(m, table_word(from, row, "supplier"), table_word(from, row, "lot")))
			section_row(t, columns, SECTION_LENGTH(columns), from, row);
}

/* ---- bats that came back */

static bool came_back_now(const struct month *m, size_t row)
{
	struct buf first = BUF_INIT;
	bool now;

	day_write(&first, m->days.first);
	now = table_count(&m->history.bats, row, "came_back") && slice_cmp(table_word(&m->history.bats, row, "until"), buf_slice(&first)) >= 0;
	buf_release(&first);
	return now;
}

/* "2 of 20" bats that have the word in the rates, or absent. */
static void put_share(struct table *t, const struct table *rates, const char *column, struct slice word)
{
	struct buf text = BUF_INIT;
	long row = word.n ? find_row(rates, column, word) : NONE;

	if (row < 0) {
		table_absent(t);
		return;
	}
	buf_printf(&text, "%lld of %lld", (long long)table_count(rates, (size_t)row, "came_back"), (long long)table_count(rates, (size_t)row, "bats"));
	table_text(t, buf_slice(&text));
	buf_release(&text);
}

void section_returns(const struct month *m, struct table *t)
{
	static const struct section_column columns[] = { { "bat", "bat", WORD, 0, NULL }, { "until", "came back", WORD, 0, NULL },
		{ "cause", "cause", WORD, 0, NULL }, { "bat_months", "months out", TENTHS, 0, NULL }, { "handle", "handle lot", WORD, 0, NULL },
		{ NULL, "of it back", WORD, 0, NULL }, { "charge", "charge", WORD, 0, NULL }, { NULL, "of it back", WORD, 0, NULL } };
	const struct month_history *h = &m->history;

	section_start(t, columns, SECTION_LENGTH(columns));
	for (size_t row = 0; row < table_rows(&h->bats); row++) {
		if (!came_back_now(m, row))
			continue;
		section_row(t, columns, 5, &h->bats, row);
		put_share(t, &h->by_handle, "handle", table_word(&h->bats, row, "handle"));
		section_row(t, columns + 6, 1, &h->bats, row);
		put_share(t, &h->by_charge, "charge", table_word(&h->bats, row, "charge"));
	}
}

/* ---- what needs attention */

static void attend_rates(const struct month *m, struct buf *out)
{
	const struct cost_book *book = &m->history.costing.book;

	for (size_t i = 0; i < book->nwrong; i++) {
		struct buf text = BUF_INIT;

		if (cost_book_say_wrong(book, i, &text)) {
			buf_str(out, "costs are not known: ");
			buf_add(out, buf_slice(&text));
			buf_char(out, '\n');
		}
		buf_release(&text);
	}
}

static void attend_losses(const struct month *m, struct buf *out)
{
	const struct table *t = &m->history.losses;

	for (size_t row = 0; row < table_rows(t); row++) {
		if (!slice_eq(table_word(t, row, "moved"), SLICE("more")))
			continue;
		buf_add(out, table_word(t, row, "cause"));
		buf_str(out, " in the step ");
		buf_add(out, table_word(t, row, "step"));
		buf_str(out, ": ");
		buf_count(out, table_count(t, row, "count"), "piece");
		buf_printf(out, " culled, where the twelve months before lead to expect %lld to %lld\n", (long long)table_count(t, row, "expected_low"),
			(long long)table_count(t, row, "expected_high"));
	}
}

static void attend_claim(const struct claim_lot *lot, struct buf *out)
{
	buf_add(out, lot->lot.n ? lot->lot : lot->supplier);
	if (lot->lot.n) {
		buf_str(out, " of ");
		buf_add(out, lot->supplier);
	}
	buf_printf(out, ": %.0f %% of ", 100.0 * (double)claim_met(lot, lot->worst) / (double)lot->graded);
	buf_count(out, lot->graded, "graded blade");
	buf_str(out, " are ");
	buf_add(out, lot->claim->list.word[lot->worst]);
	buf_printf(out, " or better, where %.0f %% were claimed\n", 100 * claim_expected(lot, lot->worst) / (double)lot->graded);
}

/* A supplier is named beside its lots only if it has several, and they are short together. */
static void attend_claims(const struct month *m, struct buf *out)
{
	const struct claims *c = &m->history.claims;

	for (size_t i = 0; i < c->nsuppliers; i++)
		if (c->supplier[i].is_short && c->supplier[i].lots > 1 && !c->supplier[i].by_lots && is_of_month(m, c->supplier[i].supplier, SLICE("")))
			attend_claim(&c->supplier[i], out);
	for (size_t i = 0; i < c->n; i++)
		if (c->lot[i].is_short && is_of_month(m, c->lot[i].supplier, c->lot[i].lot))
			attend_claim(&c->lot[i], out);
}

/* Whether a bat that came back this month has the word in the column. */
static bool is_back_now(const struct month *m, const char *column, struct slice word)
{
	const struct table *bats = &m->history.bats;

	for (size_t i = 0; i < table_rows(bats); i++)
		if (slice_eq(table_word(bats, i, column), word) && came_back_now(m, i))
			return true;
	return false;
}

/* A row that differs by more than chance explains, of one of this month's returns. */
static void attend_shared(const struct month *m, const struct table *rates, const char *column, const char *words, struct buf *out)
{
	for (size_t row = 0; row < table_rows(rates); row++) {
		struct slice word = table_word(rates, row, column);

		if (!table_has(rates, row, "p_adjusted") || table_figure(rates, row, "p_adjusted") > 0.05 || !is_back_now(m, column, word))
			continue;
		buf_str(out, words);
		buf_add(out, word);
		buf_printf(out, ": %lld of its %lld bats came back, more than chance explains; see wy-trace --sharing\n",
			(long long)table_count(rates, row, "came_back"), (long long)table_count(rates, row, "bats"));
	}
}

void history_attention(const struct month *m, struct buf *out)
{
	attend_rates(m, out);
	attend_losses(m, out);
	attend_claims(m, out);
	attend_shared(m, &m->history.by_handle, "handle", "handle lot ", out);
	attend_shared(m, &m->history.by_charge, "charge", "charge ", out);
}
