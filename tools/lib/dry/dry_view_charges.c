#include <math.h>

#include "dry/dry_view_internal.h"

static const struct table_column CHARGES[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "kiln", TABLE_TEXT, 0, NULL }, { "loaded", TABLE_DATE, 0, NULL },
	{ "day", TABLE_INT, 0, NULL }, { "pieces", TABLE_INT, 0, NULL }, { "probes", TABLE_INT, 0, NULL }, { "read_on", TABLE_DATE, 0, NULL },
	{ "mean_pct", TABLE_REAL, 1, NULL }, { "driest_pct", TABLE_REAL, 1, NULL }, { "wettest_pct", TABLE_REAL, 1, NULL }, { "verdict", TABLE_TEXT, 0, NULL },
	{ "ready_on", TABLE_DATE, 0, NULL }, { "ready_50_from", TABLE_DATE, 0, NULL }, { "ready_50_to", TABLE_DATE, 0, NULL },
	{ "ready_90_from", TABLE_DATE, 0, NULL }, { "ready_90_to", TABLE_DATE, 0, NULL }, { "ready_days", TABLE_REAL, 1, NULL },
	{ "never_pct", TABLE_REAL, 0, NULL }, { "assured_pct", TABLE_REAL, TABLE_DOWN + 0, NULL }, { "warnings", TABLE_INT, 0, NULL }
};

static const struct table_column REASONS[] = {
	{ "as_of", TABLE_DATE, 0, NULL }, { "charge", TABLE_TEXT, 0, NULL }, { "side", TABLE_TEXT, 0, NULL }, { "what", TABLE_TEXT, 0, NULL }, { "text", TABLE_TEXT, 0, NULL }
};

/* Midnight is of the day that it ends: so much before it, in days, is on that day. */
static const double BEFORE_MIDNIGHT = 1e-6;

struct tables {
	struct table *charges, *reasons;
};

static void put_readings(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s)
{
	double sum = 0, driest = HUGE_VAL, wettest = -HUGE_VAL, last = -HUGE_VAL;
	size_t n = 0;

	for (size_t i = 0; i < s->n; i++) {
		const struct dry_run *run = &s->run[i];

		if (!run->read)
			continue;
		sum += run->last;
		driest = fmin(driest, run->last);
		wettest = fmax(wettest, run->last);
		last = fmax(last, run->last_day);
		n++;
	}
	table_int(t, (int64_t)s->n);
	dry_put_day_of(ask, t, s->c, last);
	table_real(t, n ? sum / (double)n : NAN);
	table_real(t, driest);
	table_real(t, wettest);
}

/* The date of the whole day that ends at a moment. */
static void put_day_before(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s, double end)
{
	dry_put_day_of(ask, t, s->c, end - BEFORE_MIDNIGHT);
}

/* A whole day d covers d - 1/2 to d + 1/2 (forecast.h). */
static void put_forecast(const struct dry_ask *ask, struct table *t, const struct dry_snapshot *s)
{
	const struct dry_forecast *f = &s->forecast;

	put_day_before(ask, t, s, s->now + floor(f->median - s->now + 0.5));
	put_day_before(ask, t, s, f->low50 + 0.5);
	put_day_before(ask, t, s, f->high50 - 0.5);
	put_day_before(ask, t, s, f->low90 + 0.5);
	put_day_before(ask, t, s, f->high90 - 0.5);
	table_real(t, f->median - s->now);
	table_real(t, 100 * f->never);
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
}

static void put(const struct dry_ask *ask, const struct dry_snapshot *s, void *to)
{
	struct tables *tables = to;
	struct dry_reasons reasons = { .ask = ask, .s = s, .t = tables->reasons, .text = BUF_INIT };

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
	table_note(charges, SLICE("The verdict is about moisture alone. Opening and entering a kiln follow the maker's instructions and local rules."));
	table_note(charges, SLICE("ready_on is the median of the day on which the house's rule would hold under daily readings."));
	return dry_view_each(ask, put, &tables);
}
