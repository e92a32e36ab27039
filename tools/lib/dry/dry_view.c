#include "dry/dry_view.h"

#include <math.h>
#include <stdlib.h>

#include "dry/dry_view_internal.h"
#include "dry/kept_snapshots.h"

/* ---- which charges */

static bool is_wanted(const struct dry_ask *ask, const struct dry_case *c)
{
	if (c->load_s >= ask->now_s)
		return false;
	for (size_t i = 0; i < ask->nwanted; i++)
		if (slice_eq(slice_of(ask->wanted[i]), c->id))
			return true;
	return ask->nwanted == 0 && (ask->all || c->end_s >= ask->now_s);
}

static size_t count_wanted(const struct dry_ask *ask)
{
	size_t n = 0;

	for (size_t i = 0; i < ask->charges->n; i++)
		n += is_wanted(ask, &ask->charges->cases[i]);
	return n;
}

static void put_one(const struct dry_ask *ask, const struct dry_case *c, bool forecast, dry_view_put *put, void *to)
{
	struct dry_snapshot s;

	if (ask->kept) {
		put(ask, kept_snapshots_at(ask->kept, c, ask->now_s, forecast), to);
		return;
	}
	dry_snapshot_init(&s, ask->history, c, ask->now_s);
	if (forecast)
		dry_snapshot_forecast(&s);
	put(ask, &s, to);
	dry_snapshot_release(&s);
}

/* Those that are not over: of them there are forecasts. */
static void expect_open(const struct dry_ask *ask, size_t wanted)
{
	const struct dry_case **open = mem_array(wanted, sizeof *open);
	size_t n = 0;

	for (size_t i = 0; i < ask->charges->n; i++) {
		const struct dry_case *c = &ask->charges->cases[i];

		if (is_wanted(ask, c) && c->end_s >= ask->now_s)
			open[n++] = c;
	}
	kept_snapshots_expect(ask->kept, open, n, ask->now_s);
	free(open);
}

size_t dry_view_each(const struct dry_ask *ask, bool forecast, dry_view_put *put, void *to)
{
	size_t n = 0, all = count_wanted(ask);

	if (ask->kept && forecast)
		expect_open(ask, all);
	for (size_t i = 0; i < ask->charges->n; i++) {
		const struct dry_case *c = &ask->charges->cases[i];

		if (!is_wanted(ask, c))
			continue;
		put_one(ask, c, forecast, put, to);
		n++;
		if (ask->done)
			ask->done(n, all);
	}
	return n;
}

/* ---- figures */

struct dry_readings_now dry_readings_now(const struct dry_snapshot *s)
{
	struct dry_readings_now now = { 0, 0, HUGE_VAL, -HUGE_VAL, -HUGE_VAL };

	for (size_t i = 0; i < s->n; i++) {
		const struct dry_run *run = &s->run[i];

		if (!run->read)
			continue;
		now.mean += run->last;
		now.driest = fmin(now.driest, run->last);
		now.wettest = fmax(now.wettest, run->last);
		now.last_day = fmax(now.last_day, run->last_day);
		now.n++;
	}
	now.mean = now.n ? now.mean / (double)now.n : NAN;
	return now;
}

void dry_write_days(struct buf *text, double days)
{
	if (lround(10 * days) == 10)
		buf_str(text, "1 day");
	else
		buf_printf(text, "%.1f days", days);
}

void dry_write_beyond(struct buf *text, const struct dry_forecast *f)
{
	buf_printf(text, "not within %d days: %.0f %%", DRY_HORIZON, 100 * f->never);
}

/* ---- cells */

void dry_put_day(struct table *t, int32_t day)
{
	struct buf text = BUF_INIT;

	day_write(&text, day);
	table_date(t, buf_slice(&text));
	buf_release(&text);
}

void dry_put_word(struct table *t, struct slice word)
{
	if (word.n)
		table_text(t, word);
	else
		table_absent(t);
}

void dry_put_day_of(const struct dry_ask *ask, struct table *t, const struct dry_case *c, double days)
{
	if (isfinite(days))
		dry_put_day(t, charges_day(ask->charges, c->load_s + llround(days * DAY_S)));
	else
		table_absent(t);
}

void dry_put_key(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s)
{
	dry_put_day(t, ask->today);
	table_text(t, s->c->id);
}

void dry_put_band(struct table *t, const struct dry_snapshot *s)
{
	table_real(t, s->rule ? s->rule->low : NAN);
	table_real(t, s->rule ? s->rule->high : NAN);
}

void dry_write_band(struct buf *text, const struct dry_rate_limit *limit)
{
	if (isfinite(limit->low))
		buf_printf(text, "%g", limit->low);
	buf_str(text, "..");
	if (isfinite(limit->high))
		buf_printf(text, "%g", limit->high);
	buf_char(text, '%');
}

/* ---- reasons */

void dry_put_reason(struct dry_reasons *r, const char *side, const char *what)
{
	r->put(r, side, what);
	r->warnings += slice_eq(slice_of(side), SLICE("warning")) || slice_eq(slice_of(side), SLICE("doubt"));
	r->text.n = 0;
}

struct slice dry_label_of(const struct dry_snapshot *s, size_t probe)
{
	return s->place[probe].label;
}
