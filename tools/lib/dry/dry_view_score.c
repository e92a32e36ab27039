#include <math.h>

#include "dry/backtest.h"
#include "dry/dry_view_internal.h"

static const struct table_column SUMS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "day", TABLE_TEXT, 0, NULL }, { "forecasts", TABLE_INT, 0, NULL }, { "held_50_pct", TABLE_REAL, 0, NULL },
	{ "held_90_pct", TABLE_REAL, 0, NULL }, { "error_days", TABLE_REAL, 1, NULL }, { "error_of_line_days", TABLE_REAL, 1, NULL },
	{ "error_of_mean_days", TABLE_REAL, 1, NULL }, { "late_days", TABLE_REAL, 1, NULL }
};

static const struct table_column EACH[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "date", TABLE_DATE, 0, NULL }, { "day", TABLE_INT, 0, NULL },
	{ "came_days", TABLE_REAL, 1, NULL }, { "ready_days", TABLE_REAL, 1, NULL }, { "ready_50_low_days", TABLE_REAL, 1, NULL }, { "ready_50_high_days", TABLE_REAL, 1, NULL },
	{ "ready_90_low_days", TABLE_REAL, 1, NULL }, { "ready_90_high_days", TABLE_REAL, 1, NULL }, { "line_days", TABLE_REAL, 1, NULL }, { "mean_days", TABLE_REAL, 1, NULL }
};

struct each {
	const struct dry_ask *ask;
	struct table *t;
};

/* Days from the day of the forecast on. */
static void put_each(void *context, const struct backtest_forecast *f)
{
	const struct each *each = context;
	const struct dry_forecast *ready = f->forecast;
	struct table *t = each->t;

	dry_put_day(t, each->ask->today);
	table_text(t, f->c->id);
	dry_put_day(t, charges_day(each->ask->charges, f->now_s - 1));
	table_int(t, f->day);
	table_real(t, f->came - f->now);
	table_real(t, ready->median - f->now);
	table_real(t, ready->low50 - f->now);
	table_real(t, ready->high50 - f->now);
	table_real(t, ready->low90 - f->now);
	table_real(t, ready->high90 - f->now);
	table_real(t, f->line - f->now);
	table_real(t, f->mean - f->now);
}

static void put_means(struct table *t, const struct backtest_sum *sum)
{
	double n = (double)sum->n;

	table_int(t, sum->n);
	if (sum->n == 0) {
		table_rest_absent(t);
		return;
	}
	table_real(t, 100 * (double)sum->held50 / n);
	table_real(t, 100 * (double)sum->held90 / n);
	table_real(t, sum->error / n);
	table_real(t, sum->line / n);
	table_real(t, sum->mean / n);
	table_real(t, sum->late / n);
}

static void add_note(struct table *t)
{
	table_note(t, SLICE("what came is the day on which the rule would have held under daily readings, by the curve through all readings"));
}

bool dry_view_score(const struct dry_ask *ask, struct table *t)
{
	struct backtest b = { .history = ask->history, .now_s = ask->now_s };

	table_init(t, SUMS, sizeof SUMS / sizeof *SUMS);
	if (ask->charges->has_rule)
		backtest_run(&b);
	for (int i = 0; i < BACKTEST_SUMS; i++) {
		dry_put_day(t, ask->today);
		if (i < BACKTEST_DAYS)
			table_int(t, backtest_days[i]);
		else
			table_text(t, SLICE("all"));
		put_means(t, &b.sum[i]);
	}
	add_note(t);
	return b.sum[BACKTEST_DAYS].n > 0;
}

bool dry_view_score_each(const struct dry_ask *ask, struct table *t)
{
	struct each each = { ask, t };
	struct backtest b = { .history = ask->history, .now_s = ask->now_s, .each = put_each, .context = &each };

	table_init(t, EACH, sizeof EACH / sizeof *EACH);
	if (ask->charges->has_rule)
		backtest_run(&b);
	add_note(t);
	return b.sum[BACKTEST_DAYS].n > 0;
}
