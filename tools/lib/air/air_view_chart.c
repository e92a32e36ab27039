#include <math.h>
#include <stdlib.h>

#include "air/air_view_internal.h"
#include "air/control_chart.h"

static const struct table_column chart_columns[] = {
	{ "place", TABLE_TEXT, 0, "place" }, { "quantity", TABLE_TEXT, 0, "of" }, { "day", TABLE_DATE, 0, "day" }, { "mean", TABLE_REAL, 2, "mean" },
	{ "centre", TABLE_REAL, 2, NULL }, { "low", TABLE_REAL, 2, "lower limit" }, { "high", TABLE_REAL, 2, "upper limit" }, { "out", TABLE_TEXT, 0, "mean outside" },
	{ "expected", TABLE_REAL, 2, NULL }, { "expected_low", TABLE_REAL, 2, NULL }, { "expected_high", TABLE_REAL, 2, NULL }, { "change_out", TABLE_TEXT, 0, "change outside" },
	{ "ewma", TABLE_REAL, 2, NULL }, { "ewma_low", TABLE_REAL, 2, NULL }, { "ewma_high", TABLE_REAL, 2, NULL }, { "ewma_out", TABLE_TEXT, 0, "trend outside" },
	{ "unit", TABLE_TEXT, 0, NULL }, { "baseline_n", TABLE_INT, 0, NULL }, { "correlation", TABLE_REAL, 2, NULL }
};

static const char *out_of(double v, double low, double high)
{
	return v > high ? "above" : v < low ? "below" : "no";
}

/* Of the daily means, how many lie outside their limits, and the latest of these. */
struct outside {
	size_t n, days;
	struct slice place;
	int quantity;
	int32_t day;
};

static void add_day(struct outside *all, const struct view *v, int q, const struct air_day *day, const struct air_limits *l)
{
	all->days++;
	if (day->mean >= l->low && day->mean <= l->high)
		return;
	if (all->n++ && day->day < all->day)
		return;
	all->place = v->in->id;
	all->quantity = q;
	all->day = day->day;
}

static void find_outside(struct table *t, const struct outside *all)
{
	struct buf text = BUF_INIT;

	if (!all->days)
		return;
	buf_printf(&text, "%zu of %zu daily means %s outside the limits", all->n, all->days, PLURAL(all->n, "is", "are"));
	if (all->n) {
		buf_printf(&text, "; the latest is the %s at %.*s on ", AIR_NAMES[all->quantity], (int)all->place.n, all->place.p);
		day_write(&text, all->day);
	}
	buf_char(&text, '.');
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* Days of which at least half is covered. */
static struct air_day *days_of(const struct air_period *period, size_t n, int q, size_t *ndays)
{
	struct air_day *day = mem_array(n, sizeof *day);

	*ndays = 0;
	for (size_t i = 0; i < n; i++) {
		const struct air_period *p = &period[i];

		if (2 * p->sum[q].covered_h * HOUR_S >= (double)(p->to_s - p->from_s))
			day[(*ndays)++] = (struct air_day){ p->day, air_sum_mean(&p->sum[q]) };
	}
	return day;
}

/* Against what the day before (or the last known one) leads to expect. */
static void put_change(struct table *t, const struct air_day *day, const struct air_day *before, const struct air_limits *l)
{
	double expected = before ? air_expected(l, before->mean, day->day - before->day) : NAN;
	double reach = before ? air_expected_reach(l, day->day - before->day) : NAN;

	table_real(t, expected);
	table_real(t, expected - reach);
	table_real(t, expected + reach);
	table_cstr(t, before ? out_of(day->mean, expected - reach, expected + reach) : NULL);
}

static void put_chart_day(struct view *v, const struct air_day *day, const struct air_day *before, const struct air_limits *l, double ewma)
{
	struct table *t = v->t;

	view_put_day(v, day->day);
	table_real(t, day->mean);
	table_real(t, l->centre);
	table_real(t, l->low);
	table_real(t, l->high);
	table_cstr(t, out_of(day->mean, l->low, l->high));
	put_change(t, day, before, l);
	table_real(t, ewma);
	table_real(t, l->ewma_low);
	table_real(t, l->ewma_high);
	table_cstr(t, out_of(ewma, l->ewma_low, l->ewma_high));
}

/* False when the reference days give no limits. */
static bool put_chart(struct view *v, int q, struct air_period *period, size_t n, struct outside *all)
{
	const struct air_ask *ask = v->ask;
	struct air_limits limits;
	size_t ndays;
	struct air_day *day;
	double ewma;
	bool good;

	view_sum_periods(v, q, period, n);
	day = days_of(period, n, q, &ndays);
	good = air_limits_of(day, ndays, ask->base_from, ask->base_to, &limits);
	ewma = limits.centre;
	for (size_t i = 0; good && i < ndays; i++) {
		if (day[i].day < ask->base_from)
			continue;
		ewma = air_ewma_next(ewma, day[i].mean);
		if (day[i].day < ask->from || day[i].day > ask->to)
			continue;
		add_day(all, v, q, &day[i], &limits);
		table_text(v->t, v->in->id);
		table_cstr(v->t, air_words[q]);
		put_chart_day(v, &day[i], i ? &day[i - 1] : NULL, &limits, ewma);
		table_cstr(v->t, AIR_UNITS[q]);
		table_int(v->t, (int64_t)limits.n);
		table_real(v->t, limits.correlation);
		view_some(ask, v->t);
	}
	free(day);
	return good;
}

static void chart_record(struct view *v, const struct air_record *in, struct buf *without, struct outside *outside)
{
	const struct air_ask *ask = v->ask;
	struct air_ask all = *ask;
	struct air_period *period;
	size_t n;

	all.from = INT32_MIN;
	all.to = INT32_MAX;
	view_open(v, in, ask->wants[AIR_EMC] ? AIR_WITH_EMC : 0);
	v->ask = &all;
	period = view_periods(v, AIR_BY_DAY, &n);
	v->ask = ask;
	for (int q = 0; q < AIR_QUANTITIES; q++)
		if (ask->wants[q] && !put_chart(v, q, period, n, outside))
			buf_printf(without, "%s%.*s (%s)", without->n ? ", " : "The reference days give no limits, for they are fewer than 10 or all alike: ", (int)in->id.n, in->id.p, air_words[q]);
	free(period);
}

void air_view_chart(const struct air_ask *ask, struct table *t)
{
	struct outside outside = { .n = 0 };
	struct buf without = BUF_INIT;
	struct view v;

	table_init(t, chart_columns, sizeof chart_columns / sizeof *chart_columns);
	view_init(&v, ask, t);
	for (size_t i = 0; i < ask->book->nrecords; i++)
		chart_record(&v, &ask->book->record[i], &without, &outside);
	find_outside(t, &outside);
	if (without.n)
		table_note(t, buf_slice(&without));
	table_note(t, SLICE("Days less than half covered are left out. The limits allow for days that resemble their neighbours. Change: against what the day before leads to expect. Trend: the exponentially weighted mean."));
	view_note_gaps(&v);
	view_note_offsets(&v, ask->to);
	view_release(&v);
	buf_release(&without);
}
