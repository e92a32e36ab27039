#include <math.h>

#include "dry/backtest.h"
#include "dry/dry_view_internal.h"
#include "dry/seen.h"

static const struct table_column SEEN[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "kiln", TABLE_TEXT, 0, "kiln" }, { "loaded", TABLE_DATE, 0, "loaded" },
	{ "not_yet_on", TABLE_DATE, 0, "not yet" }, { "holds_on", TABLE_DATE, 0, "holds" }, { "after_days", TABLE_INT, 0, "after day" },
	{ "by_days", TABLE_INT, 0, "by day" }, { "outcome", TABLE_TEXT, 0, "outcome" }
};

static const struct table_column EACH[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "date", TABLE_DATE, 0, "date" }, { "day", TABLE_INT, 0, "day" },
	{ "after_days", TABLE_INT, 0, "after" }, { "by_days", TABLE_INT, 0, "by" }, { "ready_days", TABLE_REAL, 1, "median" },
	{ "ready_50_low_days", TABLE_INT, 0, NULL }, { "ready_50_high_days", TABLE_INT, 0, NULL }, { "held_50", TABLE_REAL, 2, NULL },
	{ "ready_80_low_days", TABLE_INT, 0, NULL }, { "ready_80_high_days", TABLE_INT, 0, NULL }, { "held_80", TABLE_REAL, 2, NULL },
	{ "ready_90_low_days", TABLE_INT, 0, "90 % from" }, { "ready_90_high_days", TABLE_INT, 0, "to" }, { "held_90", TABLE_REAL, 2, NULL },
	{ "crps_days", TABLE_REAL, 1, "CRPS" },
	{ "seen_days", TABLE_REAL, 1, NULL }, { "seen_90_low_days", TABLE_INT, 0, NULL }, { "seen_90_high_days", TABLE_INT, 0, NULL }, { "seen_held_90", TABLE_REAL, 2, NULL },
	{ "past_median_days", TABLE_REAL, 1, NULL }, { "past_median_crps_days", TABLE_REAL, 1, NULL }, { "past_mean_days", TABLE_REAL, 1, "past mean" },
	{ "line_days", TABLE_REAL, 1, "line" }, { "last_k_days", TABLE_REAL, 1, "last k" }
};

/* In the order of enum dry_seen_how. */
static const char *const OUTCOMES[] = { "held", "emptied before", "probe taken out", "not read" };

static void put_day_after(const struct dry_ask *ask, struct table *t, const struct dry_case *c, int day, bool known)
{
	if (known)
		dry_put_day(t, charges_day(ask->charges, c->load_s) + day);
	else
		table_absent(t);
}

static void put_number(struct table *t, int n, bool known)
{
	if (known)
		table_int(t, n);
	else
		table_absent(t);
}

static void put_seen(const struct dry_ask *ask, const struct backtest *b, struct table *t)
{
	for (size_t i = 0; i < ask->charges->n; i++) {
		const struct dry_case *c = &ask->charges->cases[i];
		const struct dry_seen *seen = &b->seen[i];

		if (c->end_s >= ask->now_s)
			continue;
		dry_put_day(t, ask->today);
		table_text(t, c->id);
		dry_put_word(t, c->kiln);
		dry_put_day(t, charges_day(ask->charges, c->load_s));
		put_day_after(ask, t, c, seen->not_yet, seen->not_yet >= 0);
		put_day_after(ask, t, c, seen->holds, seen->holds != DAY_UNSEEN);
		put_number(t, seen->day.after, seen->day.after >= 0);
		put_number(t, seen->day.by, seen->day.by != DAY_UNSEEN);
		table_cstr(t, OUTCOMES[seen->how]);
	}
}

static void put_range(struct table *t, const struct backtest_answer *answer, int i)
{
	put_number(t, answer->range[i].first, answer->range[i].first <= DRY_HORIZON);
	put_number(t, answer->range[i].last, answer->range[i].last <= DRY_HORIZON);
	table_real(t, answer->held[i].held);
}

/* Days from the day of asking on. */
static void put_asked(const struct dry_ask *ask, const struct backtest_asked *asked, struct table *t)
{
	const struct backtest_answer *forecast = &asked->by[BY_FORECAST];

	dry_put_day(t, ask->today);
	table_text(t, asked->c->id);
	dry_put_day(t, charges_day(ask->charges, asked->now_s - 1));
	table_int(t, asked->day);
	table_int(t, asked->seen.after);
	put_number(t, asked->seen.by, asked->seen.by != DAY_UNSEEN);
	table_real(t, forecast->day);
	for (int i = 0; i < BACKTEST_RANGES; i++)
		put_range(t, forecast, i);
	table_real(t, forecast->crps);
	table_real(t, asked->by[BY_READING].day);
	put_range(t, &asked->by[BY_READING], BACKTEST_RANGES - 1);
	table_real(t, asked->by[BY_MEDIAN].day);
	table_real(t, asked->by[BY_MEDIAN].crps);
	table_real(t, asked->by[BY_MEAN].day);
	table_real(t, asked->by[BY_LINE].day);
	table_real(t, asked->by[BY_RATE].day);
}

static void start_tables(struct table *t)
{
	table_init(&t[DRY_EACH_SEEN], SEEN, sizeof SEEN / sizeof *SEEN);
	table_init(&t[DRY_EACH_FORECASTS], EACH, sizeof EACH / sizeof *EACH);
	table_title(&t[DRY_EACH_SEEN], SLICE("seen: when the rule began to hold"), "seen");
	table_title(&t[DRY_EACH_FORECASTS], SLICE("forecasts"), "forecasts");
	table_note(&t[DRY_EACH_SEEN], SLICE("Not yet and holds: as read. After day and by day: the same with a reading of every probe on each day; day 0 is that of loading."));
	table_note(&t[DRY_EACH_FORECASTS], SLICE("All are days from the date of the row on; it came after the one and by the other."));
}

bool dry_view_score_each(const struct dry_ask *ask, struct table *t)
{
	struct backtest b = { .history = ask->history, .now_s = ask->now_s, .done = ask->done };

	start_tables(t);
	if (ask->charges->has_rule) {
		backtest_run(&b);
		put_seen(ask, &b, &t[DRY_EACH_SEEN]);
	}
	for (size_t i = 0; i < b.n; i++)
		put_asked(ask, &b.asked[i], &t[DRY_EACH_FORECASTS]);
	dry_view_score_finding(ask, &b, &t[DRY_EACH_SEEN]);
	backtest_release(&b);
	return b.n > 0;
}
