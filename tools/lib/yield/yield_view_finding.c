#include "math/stats.h"
#include "stock/stock_say.h"
#include "yield/yield_spread.h"
#include "yield/yield_view_internal.h"

static void say_part(struct buf *text, int64_t n, int64_t all, const char *after)
{
	buf_int(text, n);
	if (n) {
		buf_str(text, " (");
		stock_say_percent(text, (double)n / (double)all);
		buf_char(text, ')');
	}
	buf_str(text, after);
}

static void say_whole(const struct yield_rows *y, const int64_t *n, struct buf *text)
{
	int64_t all = stages_entered(n);

	buf_str(text, "Of ");
	stock_say_count(text, all, SLICE("piece"));
	if (y->ask->since == INT32_MIN) {
		buf_str(text, " that came in up to ");
	} else {
		buf_str(text, " there on ");
		stock_say_day(text, y->ask->since);
		buf_str(text, " or come in up to ");
	}
	stock_say_day(text, y->ask->today);
	buf_str(text, ", ");
	say_part(text, n[STAGE_OUT], all, y->stages->handles ? " went into bats, " : " were sold, ");
	say_part(text, n[STAGE_CULLED], all, " were culled and ");
	say_part(text, n[STAGE_STILL], all, " are still there.");
}

/* Several steps with as many culls: " The most culls of a step, 2, are in yard (of 180) and kiln (of 95)." */
static void say_tied(const struct yield_row *row, size_t first, size_t last, int64_t most, struct buf *text)
{
	size_t left = 0;
	bool begun = false;

	for (size_t i = first; i < last; i++)
		left += row[i].n[STAGE_CULLED] == most;
	buf_printf(text, " The most culls of a step, %lld, are in ", (long long)most);
	for (size_t i = first; i < last; i++) {
		if (row[i].n[STAGE_CULLED] != most)
			continue;
		buf_str(text, !begun ? "" : left == 1 ? " and " : ", ");
		buf_printf(text, "%s (of %lld)", stages_step_words[row[i].head.step], (long long)stages_entered(row[i].n));
		begun = true;
		left--;
	}
	buf_char(text, '.');
}

static void say_worst(const struct yield_rows *y, size_t row, struct buf *text)
{
	const struct yield_row *r = &y->row[row];
	int64_t all = stages_entered(r->n), culled = r->n[STAGE_CULLED];
	struct spread spread;
	double low, high;

	buf_printf(text, " The step with the most culls is %s: %lld of %lld", stages_step_words[r->head.step], (long long)culled, (long long)all);
	if (all > 0) {
		yield_spread_of_loss(y, r->head.step, SLICE(""), &spread);
		wilson_share((double)culled / (double)all, (double)all / yield_spread_design(y, &spread, row), yield_spread_point(y, &spread, row), &low, &high);
		spread_release(&spread);
		buf_str(text, " (");
		stock_say_interval(text, (double)culled / (double)all, low, high);
		buf_char(text, ')');
	}
	buf_char(text, '.');
}

static bool is_tied(const struct yield_rows *y, size_t first, size_t worst)
{
	for (size_t i = first; i + 1 < y->nrows; i++)
		if (i != worst && y->row[i].n[STAGE_CULLED] == y->row[worst].n[STAGE_CULLED])
			return true;
	return false;
}

void yield_view_say(const struct yield_rows *y, struct table *t)
{
	size_t first = yield_rows_total(y), worst = first;
	const struct yield_row *row = y->row;
	struct buf text = BUF_INIT;

	if (first == y->nrows) {
		table_finding(t, SLICE("No piece came in, went on or was culled on these days."));
		return;
	}
	if (stages_entered(row[y->nrows - 1].n) <= 0)
		return;
	for (size_t i = first; i + 1 < y->nrows; i++)
		worst = row[i].n[STAGE_CULLED] > row[worst].n[STAGE_CULLED] ? i : worst;
	say_whole(y, row[y->nrows - 1].n, &text);
	if (worst + 1 < y->nrows && row[worst].n[STAGE_CULLED] > 0) {
		if (is_tied(y, first, worst))
			say_tied(row, first, y->nrows - 1, row[worst].n[STAGE_CULLED], &text);
		else
			say_worst(y, worst, &text);
	}
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}
