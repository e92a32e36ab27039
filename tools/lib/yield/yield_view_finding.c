#include <math.h>

#include "yield/yield_view_internal.h"

/* "1 (20 %) was culled and ": what goes with one piece, and with none or more. */
static void say_part(struct buf *text, int64_t n, int64_t all, const char *one, const char *more)
{
	buf_int(text, n);
	if (n) {
		buf_str(text, " (");
		stock_say_percent(text, (double)n / (double)all);
		buf_char(text, ')');
	}
	buf_str(text, PLURAL(n, one, more));
}

/*
 * What became of the pieces in the end: one that came back is not counted twice, nor was it sold for good. Pieces
 * that came back in a span of days may have been sold before it, so that they came in then.
 */
static int64_t counted_twice(const struct yield_rows *y, const int64_t *n)
{
	return y->ask->since == INT32_MIN && n[STAGE_BACK] <= n[STAGE_OUT] ? n[STAGE_BACK] : 0;
}

static void say_whole(const struct yield_rows *y, const int64_t *n, struct buf *text)
{
	int64_t twice = counted_twice(y, n), all = stages_entered(n) - twice;

	buf_str(text, "Of ");
	stock_say_count(text, all, SLICE("piece"));
	if (y->ask->since == INT32_MIN) {
		buf_str(text, " that came in up to ");
	} else {
		buf_str(text, " there on ");
		stock_say_day(text, y->ask->since);
		buf_str(text, n[STAGE_BACK] ? " or come in or back up to " : " or come in up to ");
	}
	stock_say_day(text, y->ask->today);
	buf_str(text, ", ");
	if (!y->stages->handles)
		say_part(text, n[STAGE_OUT] - twice, all, " was sold, ", " were sold, ");
	else if (y->ask->since == INT32_MIN)
		say_part(text, n[STAGE_OUT] - twice, all, " is in a bat, ", " are in bats, ");
	else
		say_part(text, n[STAGE_OUT], all, " went into a bat, ", " went into bats, ");
	say_part(text, n[STAGE_CULLED], all, " was culled and ", " were culled and ");
	say_part(text, n[STAGE_STILL], all, " is still there.", " are still there.");
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

static bool is_tied(const struct yield_rows *y, size_t first, size_t end, size_t worst)
{
	for (size_t i = first; i < end; i++)
		if (i != worst && y->row[i].n[STAGE_CULLED] == y->row[worst].n[STAGE_CULLED])
			return true;
	return false;
}

/* ---- the days */

static void say_number(struct buf *text, double days)
{
	buf_real_shown(text, days, days == floor(days) ? 0 : 1);
}

/* " The slowest step is store: half of the pieces were through by day 59 (95 % interval 40 to 75 days), 9 in 10 by day 181." */
static void say_slowest(const struct yield_rows *y, size_t first, const struct yield_days *days, struct buf *text)
{
	size_t slow = y->nrows;

	for (size_t i = first; i + 1 < y->nrows; i++)
		if (!isnan(days[i].median) && (slow == y->nrows || days[i].median > days[slow].median))
			slow = i;
	if (slow == y->nrows)
		return;
	buf_printf(text, " The slowest step is %s: half of the pieces have gone on by day ", stages_step_words[y->row[slow].head.step]);
	say_number(text, days[slow].median);
	if (!isnan(days[slow].low) && !isnan(days[slow].high)) {
		buf_str(text, " (95 % interval ");
		say_number(text, days[slow].low);
		buf_str(text, " to ");
		say_number(text, days[slow].high);
		buf_char(text, ')');
	}
	if (!isnan(days[slow].most)) {
		buf_str(text, ", 9 in 10 by day ");
		say_number(text, days[slow].most);
	}
	buf_char(text, '.');
}

/* ---- whose wood got through best */

/* The first step of rows that can be compared by the key: -1 for none. */
static int starts_at(const struct yield_ask *ask, size_t row_step)
{
	if (ask->nby != 1 || ask->by[0] == YIELD_BY_TYPE || ask->since != INT32_MIN)
		return -1;
	if (ask->by[0] == YIELD_BY_CHARGE)
		return row_step == STAGE_KILN ? STAGE_KILN : -1;
	return row_step <= STAGE_BUY ? (int)row_step : -1;
}

static void say_through(const struct yield_rows *y, size_t row, struct sure_yield s, const char *before, struct buf *text)
{
	double low, high;

	wilson_share(s.share.p, s.share.n, s.point, &low, &high);
	buf_str(text, before);
	buf_add(text, y->row[row].head.key[0]);
	buf_str(text, " (");
	stock_say_interval(text, s.share.p, low, high);
	buf_char(text, ')');
}

/* " The most so far get through of hale (84 %, ...), the fewest of ranui (...)." Only keys whose way is known from its first step. */
static void say_best(const struct yield_rows *y, size_t end, const struct yield_through *through, struct buf *text)
{
	size_t best = end, worst = end, n = 0;
	int start = -1;
	bool alike = true;

	for (size_t i = 0, last; i < end; i = last + 1) {
		for (last = i; y->row[last].head.step != YIELD_ALL_STEPS;)
			last++;
		if (starts_at(y->ask, y->row[i].head.step) < 0 || !through[last].so_far.share.known || !y->row[i].head.key[0].n)
			continue;
		n++;
		alike = alike && (start < 0 || start == starts_at(y->ask, y->row[i].head.step));
		start = starts_at(y->ask, y->row[i].head.step);
		best = best == end || through[last].so_far.share.p > through[best].so_far.share.p ? last : best;
		worst = worst == end || through[last].so_far.share.p < through[worst].so_far.share.p ? last : worst;
	}
	if (n < 2 || best == worst)
		return;
	say_through(y, best, through[best].so_far, " The most so far get through of ", text);
	say_through(y, worst, through[worst].so_far, ", the fewest of ", text);
	buf_str(text, alike ? "." : ". Trees also lose pieces in cleaving, bought clefts do not: compare the later steps.");
}

/* The row after the steps of the way: a handle was through before it was in a bat. */
static size_t way_end(const struct yield_rows *y, size_t first)
{
	size_t end = y->nrows - 1;

	return end > first && y->stages->handles && y->row[end - 1].head.step == STAGE_BAT ? end - 1 : end;
}

static void say_culls(const struct yield_rows *y, size_t first, struct buf *text)
{
	const struct yield_row *row = y->row;
	size_t worst = first, end = way_end(y, first);

	for (size_t i = first; i < end; i++)
		worst = row[i].n[STAGE_CULLED] > row[worst].n[STAGE_CULLED] ? i : worst;
	if (worst >= end || row[worst].n[STAGE_CULLED] <= 0)
		return;
	if (is_tied(y, first, end, worst))
		say_tied(row, first, end, row[worst].n[STAGE_CULLED], text);
	else
		say_worst(y, worst, text);
}

void yield_view_say(const struct yield_rows *y, const struct yield_days *days, const struct yield_through *through, struct table *t)
{
	size_t first = yield_rows_total(y);
	struct buf text = BUF_INIT;

	if (first == y->nrows) {
		table_finding(t, SLICE("No piece came in, went on or was culled on these days."));
		return;
	}
	if (stages_entered(y->row[y->nrows - 1].n) <= 0)
		return;
	say_whole(y, y->row[y->nrows - 1].n, &text);
	if (y->ask->days)
		say_slowest(y, first, days, &text);
	else
		say_culls(y, first, &text);
	say_best(y, first, through, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}
