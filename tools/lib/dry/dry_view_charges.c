#include <math.h>

#include "dry/dry_view_internal.h"

static const struct table_column CHARGES[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "kiln", TABLE_TEXT, 0, "kiln" }, { "loaded", TABLE_DATE, 0, NULL },
	{ "day", TABLE_INT, 0, "day" }, { "pieces", TABLE_INT, 0, "pieces" }, { "probes", TABLE_INT, 0, NULL }, { "read_on", TABLE_DATE, 0, NULL },
	{ "mean_pct", TABLE_REAL, 1, "mean MC, %" }, { "driest_pct", TABLE_REAL, 1, "driest, %" }, { "wettest_pct", TABLE_REAL, 1, "wettest, %" }, { "verdict", TABLE_TEXT, 0, "verdict" },
	{ "ready_on", TABLE_DATE, 0, "ready date" }, { "ready_50_from", TABLE_DATE, 0, NULL }, { "ready_50_to", TABLE_DATE, 0, NULL },
	{ "ready_80_from", TABLE_DATE, 0, NULL }, { "ready_80_to", TABLE_DATE, 0, NULL },
	{ "ready_90_from", TABLE_DATE, 0, "90 % from" }, { "ready_90_to", TABLE_DATE, 0, "90 % to" }, { "ready_days", TABLE_REAL, 1, NULL },
	{ "seen_on", TABLE_DATE, 0, "seen date" }, { "seen_50_from", TABLE_DATE, 0, NULL }, { "seen_50_to", TABLE_DATE, 0, NULL },
	{ "seen_90_from", TABLE_DATE, 0, NULL }, { "seen_90_to", TABLE_DATE, 0, NULL },
	{ "never_pct", TABLE_REAL, 0, NULL }, { "assured_pct", TABLE_REAL, TABLE_DOWN + 0, NULL }, { "warnings", TABLE_INT, 0, "warnings" },
	{ "low_pct", TABLE_REAL, 1, NULL }, { "high_pct", TABLE_REAL, 1, NULL }
};

static const struct table_column REASONS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, "charge" }, { "side", TABLE_TEXT, 0, "side" }, { "what", TABLE_TEXT, 0, NULL }, { "text", TABLE_TEXT, 0, "reason" }
};

struct tables {
	struct table *charges, *reasons;
};

static void put_readings(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s)
{
	struct dry_readings_now now = dry_readings_now(s);

	table_int(t, (int64_t)s->n);
	dry_put_day_of(ask, t, s->c, now.last_day);
	table_real(t, now.mean);
	table_real(t, now.driest);
	table_real(t, now.wettest);
}

static void put_forecast(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s)
{
	struct dry_ready_days days = dry_ready_days(s, &s->forecast), seen = dry_ready_days(s, &s->seen);

	dry_put_day_of(ask, t, s->c, days.median);
	dry_put_day_of(ask, t, s->c, days.low50);
	dry_put_day_of(ask, t, s->c, days.high50);
	dry_put_day_of(ask, t, s->c, days.low80);
	dry_put_day_of(ask, t, s->c, days.high80);
	dry_put_day_of(ask, t, s->c, days.low90);
	dry_put_day_of(ask, t, s->c, days.high90);
	table_real(t, s->forecast.median - s->now);
	dry_put_day_of(ask, t, s->c, seen.median);
	dry_put_day_of(ask, t, s->c, seen.low50);
	dry_put_day_of(ask, t, s->c, seen.high50);
	dry_put_day_of(ask, t, s->c, seen.low90);
	dry_put_day_of(ask, t, s->c, seen.high90);
	table_real(t, 100 * s->forecast.never);
}

static void put_charge(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s, size_t warnings)
{
	int32_t loaded = charges_day(ask->charges, s->c->load_s);

	dry_put_key(ask, t, s);
	dry_put_word(t, s->c->kiln);
	dry_put_day(t, loaded);
	table_int(t, charges_day(ask->charges, s->now_s - 1) - loaded);
	table_int(t, s->open ? s->c->held : s->c->pieces);
	put_readings(ask, t, s);
	table_cstr(t, dry_snapshot_verdict(s));
	put_forecast(ask, t, s);
	table_real(t, 100 * s->assures);
	table_int(t, (int64_t)warnings);
	dry_put_band(t, s);
}

static void put_reason(struct dry_reasons *r, const char *side, const char *what)
{
	struct table *t = r->to;

	dry_put_key(r->ask, t, r->s);
	table_cstr(t, side);
	table_cstr(t, what);
	table_text(t, buf_slice(&r->text));
}

static void put(const struct dry_ask *ask, const struct dry_snapshot *s, void *to)
{
	struct tables *tables = to;
	struct dry_reasons reasons = { .ask = ask, .s = s, .put = put_reason, .to = tables->reasons, .text = BUF_INIT };

	dry_put_reasons(&reasons);
	put_charge(ask, tables->charges, s, reasons.warnings);
	buf_release(&reasons.text);
}

size_t dry_view_charges(const struct dry_ask *ask, struct table *charges, struct table *reasons)
{
	struct tables tables = { charges, reasons };

	table_init(charges, CHARGES, sizeof CHARGES / sizeof *CHARGES);
	table_init(reasons, REASONS, sizeof REASONS / sizeof *REASONS);
	table_title(charges, SLICE("charges"), "charges");
	table_title(reasons, SLICE("reasons"), "reasons");
	table_note(charges, SLICE("The verdict is about moisture only. When you open or enter a kiln, follow the maker's instructions and local rules."));
	table_note(charges, SLICE("The ready date is the median of the days on which the ready rule would hold with daily readings; the seen date is that on which it will be seen to hold with readings as far apart as usual."));
	return dry_view_each(ask, true, put, &tables);
}
