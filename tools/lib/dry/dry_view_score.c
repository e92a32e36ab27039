#include <math.h>

#include "dry/backtest.h"
#include "dry/dry_view_internal.h"

static const struct table_column SUMS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "day", TABLE_TEXT, 0, "day" }, { "forecasts", TABLE_INT, 0, "forecasts" }, { "held_50_pct", TABLE_REAL, 0, "in 50 % interval, %" },
	{ "held_90_pct", TABLE_REAL, 0, "in 90 % interval, %" }, { "error_days", TABLE_REAL, 1, "days off" }, { "error_of_line_days", TABLE_REAL, 1, "days off by line" },
	{ "error_of_mean_days", TABLE_REAL, 1, "days off by mean" }, { "late_days", TABLE_REAL, 1, "days late" }
};

static const struct table_column EACH[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "date", TABLE_DATE, 0, "date" }, { "day", TABLE_INT, 0, "day" },
	{ "came_days", TABLE_REAL, 1, "ready in, days" }, { "ready_days", TABLE_REAL, 1, "forecast, days" }, { "ready_50_low_days", TABLE_REAL, 1, NULL }, { "ready_50_high_days", TABLE_REAL, 1, NULL },
	{ "ready_90_low_days", TABLE_REAL, 1, "90 % from" }, { "ready_90_high_days", TABLE_REAL, 1, "90 % to" }, { "line_days", TABLE_REAL, 1, "by the line" }, { "mean_days", TABLE_REAL, 1, "by the mean" }
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
	table_note(t, SLICE("The forecasts are compared with the day on which the ready rule would have held with daily readings, by the curve through all readings."));
	table_note(t, SLICE("The line runs through each probe's last two readings; the mean is that of the earlier charges' drying days."));
}

static void add_finding(struct table *t, const struct backtest_sum *sum)
{
	double n = (double)sum->n;
	struct buf text = BUF_INIT;

	if (sum->n == 0)
		return;
	buf_printf(&text, "The ready date was %.1f days off on average, over %lld forecast%s", sum->error / n, (long long)sum->n, PLURAL(sum->n, "", "s"));
	buf_printf(&text, " (by the line %.1f days, by the mean %.1f). ", sum->line / n, sum->mean / n);
	buf_printf(&text, "The 90 %% interval was right in %.0f %% of them.", 100 * (double)sum->held90 / n);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

bool dry_view_score(const struct dry_ask *ask, struct table *t)
{
	struct backtest b = { .history = ask->history, .now_s = ask->now_s, .done = ask->done };

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
	add_finding(t, &b.sum[BACKTEST_DAYS]);
	add_note(t);
	return b.sum[BACKTEST_DAYS].n > 0;
}

bool dry_view_score_each(const struct dry_ask *ask, struct table *t)
{
	struct each each = { ask, t };
	struct backtest b = { .history = ask->history, .now_s = ask->now_s, .done = ask->done, .each = put_each, .context = &each };

	table_init(t, EACH, sizeof EACH / sizeof *EACH);
	if (ask->charges->has_rule)
		backtest_run(&b);
	add_finding(t, &b.sum[BACKTEST_DAYS]);
	add_note(t);
	return b.sum[BACKTEST_DAYS].n > 0;
}
