#include <math.h>
#include <stdlib.h>

#include "dry/dry_view_internal.h"
#include "dry/history.h"
#include "dry/score.h"
#include "dry/seen.h"

static const char *const WAYS[BACKTEST_WAYS] = { "forecast", "as read", "past median", "past mean", "line", "last k" };

static const struct table_column CALIBRATION[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "day", TABLE_TEXT, 0, "day" }, { "kiln", TABLE_TEXT, 0, "kiln" }, { "by", TABLE_TEXT, 0, "by" },
	{ "charges", TABLE_INT, 0, NULL }, { "forecasts", TABLE_INT, 0, NULL },
	{ "held_50_pct", TABLE_REAL, 0, "50 % held" }, { "held_50_low_pct", TABLE_REAL, 0, "from" }, { "held_50_high_pct", TABLE_REAL, 0, "to" },
	{ "held_80_pct", TABLE_REAL, 0, "80 % held" }, { "held_80_low_pct", TABLE_REAL, 0, "from" }, { "held_80_high_pct", TABLE_REAL, 0, "to" },
	{ "held_90_pct", TABLE_REAL, 0, "90 % held" }, { "held_90_low_pct", TABLE_REAL, 0, "from" }, { "held_90_high_pct", TABLE_REAL, 0, "to" },
};

static const struct table_column RANGES[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "day", TABLE_TEXT, 0, "day" }, { "kiln", TABLE_TEXT, 0, "kiln" }, { "by", TABLE_TEXT, 0, "by" },
	{ "charges", TABLE_INT, 0, NULL }, { "forecasts", TABLE_INT, 0, "forecasts" },
	{ "width_50_days", TABLE_REAL, 1, "days at 50 %" }, { "chance_50_pct", TABLE_REAL, 0, NULL }, { "open_50_pct", TABLE_REAL, 0, NULL },
	{ "missed_50", TABLE_INT, 0, NULL }, { "undecided_50", TABLE_INT, 0, NULL },
	{ "width_80_days", TABLE_REAL, 1, "days at 80 %" }, { "chance_80_pct", TABLE_REAL, 0, NULL }, { "open_80_pct", TABLE_REAL, 0, NULL },
	{ "missed_80", TABLE_INT, 0, NULL }, { "undecided_80", TABLE_INT, 0, NULL },
	{ "width_90_days", TABLE_REAL, 1, "days at 90 %" }, { "chance_90_pct", TABLE_REAL, 0, NULL }, { "open_90_pct", TABLE_REAL, 0, "no end, %" },
	{ "missed_90", TABLE_INT, 0, "missed" }, { "undecided_90", TABLE_INT, 0, "undecided" },
};

static const struct table_column ERRORS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "day", TABLE_TEXT, 0, "day" }, { "kiln", TABLE_TEXT, 0, "kiln" }, { "by", TABLE_TEXT, 0, "by" },
	{ "charges", TABLE_INT, 0, NULL }, { "forecasts", TABLE_INT, 0, NULL },
	{ "error_days", TABLE_REAL, 1, "days off" }, { "error_low_days", TABLE_REAL, 1, "from" }, { "error_high_days", TABLE_REAL, 1, "to" },
	{ "late_days", TABLE_REAL, 1, NULL },
	{ "crps_days", TABLE_REAL, 1, "CRPS in days" }, { "crps_low_days", TABLE_REAL, 1, "from" }, { "crps_high_days", TABLE_REAL, 1, "to" },
	{ "crps_more_days", TABLE_REAL, 1, "CRPS more" }, { "crps_more_low_days", TABLE_REAL, 1, "from" }, { "crps_more_high_days", TABLE_REAL, 1, "to" },
};

static const struct table_column PIT[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "pit_low", TABLE_REAL, 1, "from" }, { "pit_high", TABLE_REAL, 1, "to" },
	{ "day_3", TABLE_REAL, 1, "day 3" }, { "day_7", TABLE_REAL, 1, "day 7" }, { "day_14", TABLE_REAL, 1, "day 14" }, { "all_days", TABLE_REAL, 1, "all days" },
};

/* ---- groups: each day that has a row of its own, all days, and each kiln where there are several */

struct groups {
	struct score_group *group;
	size_t n, cap;
};

static void add_group(struct groups *g, int day, struct slice kiln)
{
	for (size_t i = 0; i < g->n; i++)
		if (g->group[i].day == day && slice_eq(g->group[i].kiln, kiln))
			return;
	g->group = mem_grow(g->group, &g->cap, g->n + 1, sizeof *g->group);
	g->group[g->n++] = (struct score_group){ day, kiln };
}

static int by_kiln(const void *a, const void *b)
{
	return slice_cmp(((const struct score_group *)a)->kiln, ((const struct score_group *)b)->kiln);
}

static struct groups groups_of(const struct backtest *b)
{
	struct groups g = { 0 };
	size_t plain;

	for (int i = 0; i < BACKTEST_DAYS; i++)
		add_group(&g, backtest_days[i], (struct slice){ 0 });
	add_group(&g, 0, (struct slice){ 0 });
	plain = g.n;
	for (size_t i = 0; i < b->n; i++)
		add_group(&g, 0, b->asked[i].c->kiln);
	if (g.n > plain)
		qsort(g.group + plain, g.n - plain, sizeof *g.group, by_kiln);
	if (g.n == plain + 1)
		g.n = plain;
	return g;
}

/* ---- rows */

static void put_key(const struct dry_ask *ask, struct table *t, const struct score_group *group, enum backtest_way way)
{
	dry_put_day(t, ask->today);
	if (group->day)
		table_int(t, group->day);
	else
		table_text(t, SLICE("all"));
	dry_put_word(t, group->kiln);
	table_cstr(t, WAYS[way]);
}

static void put_counts(struct table *t, const struct score *score)
{
	table_int(t, (int64_t)score->charges);
	table_int(t, (int64_t)score->answers);
}

static void put_found(struct table *t, const struct cluster_found *found, double times)
{
	table_real(t, times * found->mean);
	table_real(t, times * found->low);
	table_real(t, times * found->high);
}

/* What cannot be below 0. */
static void put_size(struct table *t, const struct cluster_found *found)
{
	struct cluster_found size = *found;

	size.low = isnan(size.low) ? NAN : fmax(size.low, 0);
	put_found(t, &size, 1);
}

static void put_calibration(struct table *t, const struct score *score)
{
	put_counts(t, score);
	for (int i = 0; i < BACKTEST_RANGES; i++)
		put_found(t, &score->range[i].held, 100);
}

static void put_ranges(struct table *t, const struct score *score)
{
	put_counts(t, score);
	for (int i = 0; i < BACKTEST_RANGES; i++) {
		const struct score_range *range = &score->range[i];

		table_real(t, range->width);
		table_real(t, 100 * range->said);
		table_real(t, 100 * range->open);
		table_int(t, (int64_t)range->missed);
		table_int(t, (int64_t)range->undecided);
	}
}

static void put_errors(struct table *t, const struct score *score, enum backtest_way way)
{
	put_counts(t, score);
	put_size(t, &score->error);
	table_real(t, score->late);
	put_size(t, &score->crps);
	if (way == BY_FORECAST || way == BY_READING) /* which are about different days */
		table_rest_absent(t);
	else
		put_found(t, &score->more, 1);
}

static void put_group(const struct dry_ask *ask, const struct backtest *b, const struct score_group *group, struct table *t)
{
	for (int way = 0; way < BACKTEST_WAYS; way++) {
		struct score score;

		score_of(b, group, (enum backtest_way)way, &score);
		if (!score.answers)
			return;
		put_key(ask, &t[DRY_SCORE_ERRORS], group, (enum backtest_way)way);
		put_errors(&t[DRY_SCORE_ERRORS], &score, (enum backtest_way)way);
		if (!score.odds)
			continue;
		put_key(ask, &t[DRY_SCORE_CALIBRATION], group, (enum backtest_way)way);
		put_calibration(&t[DRY_SCORE_CALIBRATION], &score);
		put_key(ask, &t[DRY_SCORE_RANGES], group, (enum backtest_way)way);
		put_ranges(&t[DRY_SCORE_RANGES], &score);
	}
}

/* The first groups are the days that have a column each, and all days. */
static void put_bins(const struct dry_ask *ask, const struct backtest *b, const struct groups *g, struct table *t)
{
	struct score score[BACKTEST_DAYS + 1];

	for (int i = 0; i <= BACKTEST_DAYS; i++)
		score_of(b, &g->group[i], BY_FORECAST, &score[i]);
	for (int bin = 0; b->n && bin < BACKTEST_BINS; bin++) {
		dry_put_day(t, ask->today);
		table_real(t, bin / (double)BACKTEST_BINS);
		table_real(t, (bin + 1) / (double)BACKTEST_BINS);
		for (int i = 0; i <= BACKTEST_DAYS; i++)
			table_real(t, score[i].bin[bin]);
	}
}

/* ---- in words */

static void write_interval(struct buf *text, const struct cluster_found *found, double times, int places)
{
	if (!isnan(found->low))
		buf_printf(text, " (95 %%: %.*f to %.*f)", places, fmax(times * found->low, 0), places, times * found->high);
}

/* The rival with the least CRPS, and whether the forecast is better than it. */
static void write_rival(struct buf *text, const struct score *score)
{
	int best = BY_MEDIAN;

	for (int way = best; way < BACKTEST_WAYS; way++)
		if (score[way].crps.mean < score[best].crps.mean)
			best = way;
	buf_printf(text, "The CRPS of the forecast is %.1f days; that of the best plain rival (%s) is %.1f, ", score[BY_FORECAST].crps.mean, WAYS[best], score[best].crps.mean);
	buf_printf(text, "which is %.1f %s", fabs(score[best].more.mean), score[best].more.mean < 0 ? "less" : "more");
	if (!isnan(score[best].more.low))
		buf_printf(text, " (95 %%: %.1f to %.1f)", score[best].more.low, score[best].more.high);
	buf_str(text, score[best].more.low > 0 ? "." : score[best].more.high < 0 ? ": the rival is better." : ": too few charges to say which is better.");
}

static void write_finding(const struct backtest *b, struct buf *text)
{
	struct score score[BACKTEST_WAYS];
	const struct cluster_found *held = &score[BY_FORECAST].range[BACKTEST_RANGES - 1].held;

	for (int way = 0; way < BACKTEST_WAYS; way++)
		score_of(b, &(struct score_group){ 0 }, (enum backtest_way)way, &score[way]);
	buf_printf(text, "The ready date was %.1f days off on average", score->error.mean);
	write_interval(text, &score->error, 1, 1);
	buf_printf(text, ", in %zu forecast%s of %zu charge%s. ", score->answers, PLURAL(score->answers, "", "s"), score->charges, PLURAL(score->charges, "", "s"));
	buf_printf(text, "The 90 %% ranges held %.0f %%", 100 * held->mean);
	write_interval(text, held, 100, 0);
	buf_str(text, ". ");
	write_rival(text, score);
}

void dry_view_score_finding(const struct dry_ask *ask, const struct backtest *b, struct table *t)
{
	struct buf text = BUF_INIT;

	if (!ask->charges->has_rule)
		buf_str(&text, "The house file has no ready rule, so there is nothing to score.");
	else if (b->n)
		write_finding(b, &text);
	else
		buf_str(&text, "No forecast can be scored: that takes a charge that was read before it was ready, and an earlier one that was seen to be ready.");
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* The charges of an outcome, in words; nothing where there are none. */
static void add_unseen(const struct backtest *b, enum dry_seen_how how, const char *words, struct table *t)
{
	const struct charges *charges = b->history->charges;
	struct buf text = BUF_INIT;
	size_t n = 0;

	for (size_t i = 0; i < charges->n; i++)
		if (b->seen[i].how == how && charges->cases[i].end_s < b->now_s) {
			buf_str(&text, n++ ? ", " : "");
			buf_add(&text, charges->cases[i].id);
		}
	if (n) {
		buf_printf(&text, " %s %s.", PLURAL(n, "was", "were"), words);
		table_note(t, buf_slice(&text));
	}
	buf_release(&text);
}

static void add_all_unseen(const struct backtest *b, struct table *t)
{
	add_unseen(b, DRY_SEEN_EMPTIED, "emptied before the rule was seen to hold", t);
	add_unseen(b, DRY_SEEN_TAKEN_OUT, "not followed to the end: a probe was taken out that broke the rule", t);
	add_unseen(b, DRY_SEEN_UNREAD, "not read often enough to say anything", t);
}

static void add_notes(const struct backtest *b, struct table *t)
{
	table_note(&t[DRY_SCORE_CALIBRATION], SLICE("From and to: 95 % intervals that count charges, not forecasts. Day: so many days after loading."));
	table_note(&t[DRY_SCORE_RANGES], SLICE("No end, missed, undecided: of the 90 % ranges. Undecided: the readings are too far apart to say whether it held."));
	table_note(&t[DRY_SCORE_ERRORS], SLICE("Only days of which the readings tell count: an error is at least so large. CRPS more: than that of the forecast."));
	table_note(&t[DRY_SCORE_PIT], SLICE("Good forecasts have the same number in each row."));
	add_all_unseen(b, &t[DRY_SCORE_PIT]);
}

static void start_tables(struct table *t)
{
	table_init(&t[DRY_SCORE_CALIBRATION], CALIBRATION, sizeof CALIBRATION / sizeof *CALIBRATION);
	table_init(&t[DRY_SCORE_RANGES], RANGES, sizeof RANGES / sizeof *RANGES);
	table_init(&t[DRY_SCORE_ERRORS], ERRORS, sizeof ERRORS / sizeof *ERRORS);
	table_init(&t[DRY_SCORE_PIT], PIT, sizeof PIT / sizeof *PIT);
	table_title(&t[DRY_SCORE_CALIBRATION], SLICE("calibration: how often the ranges held, %"), "calibration");
	table_title(&t[DRY_SCORE_RANGES], SLICE("ranges: how wide they are"), "ranges");
	table_title(&t[DRY_SCORE_ERRORS], SLICE("errors: how far off the ready date was"), "errors");
	table_title(&t[DRY_SCORE_PIT], SLICE("pit: where in the forecast's distribution the day came"), "pit");
}

bool dry_view_score(const struct dry_ask *ask, struct table *t)
{
	struct backtest b = { .history = ask->history, .now_s = ask->now_s, .done = ask->done };
	struct groups g;

	start_tables(t);
	if (ask->charges->has_rule)
		backtest_run(&b);
	g = groups_of(&b);
	for (size_t i = 0; i < g.n; i++)
		put_group(ask, &b, &g.group[i], t);
	put_bins(ask, &b, &g, &t[DRY_SCORE_PIT]);
	dry_view_score_finding(ask, &b, t);
	if (b.seen)
		add_notes(&b, t);
	free(g.group);
	backtest_release(&b);
	return b.n > 0;
}
