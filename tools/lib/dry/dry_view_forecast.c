#include <math.h>

#include "dry/dry_view_internal.h"

/*
 * The share of runs that never came to hold from which a warning is printed: four in five (wy-dry(1)). If the shares
 * are right, the odds for a charge that will be ready come to four with a chance of at most a quarter of the odds before
 * its first reading, however often it is asked (Ville's inequality): a works where one charge in six never arrives warns
 * falsely of one in twenty at the most.
 */
static const double NEVER_LEAST = 0.8;

/* Days after which wood is at rest; days of the kiln's air that say what it is now. */
static const double AT_REST_DAYS = 365;
static const double AIR_DAYS = 1;

/* A share above this is every run. */
static const double ALWAYS_MOST = 1 - 0.5 / DRY_DRAWS;

/* From one whole day to another, of which the forecast has the ends. */
static void write_range(struct buf *text, double low, double high)
{
	bool one_day = isfinite(high) && high - low < 1.5;

	if (!isfinite(low)) {
		buf_printf(text, "over %d days", DRY_HORIZON);
		return;
	}
	buf_printf(text, "%.0f", low + 0.5);
	if (isfinite(high) && !one_day)
		buf_printf(text, " to %.0f", high - 0.5);
	buf_str(text, (one_day || !isfinite(high)) && lround(low + 0.5) == 1 ? " day" : " days");
	if (!isfinite(high))
		buf_str(text, " or more");
}

static void write_expected(struct buf *text, double days)
{
	if (isfinite(days)) {
		buf_str(text, "expected to be ready in ");
		dry_write_days(text, days);
	} else {
		buf_printf(text, "not expected to be ready within %d days", DRY_HORIZON);
	}
}

/* "(50 %: 3 to 5 days; 90 %: 2 days or more; not within 120 days: 8 %)" */
static void write_ranges(struct buf *text, const struct dry_forecast *f, double now)
{
	buf_str(text, " (50 %: ");
	write_range(text, f->low50 - now, f->high50 - now);
	buf_str(text, "; 90 %: ");
	write_range(text, f->low90 - now, f->high90 - now);
	if (!isfinite(f->high90)) {
		buf_str(text, "; ");
		dry_write_beyond(text, f);
	}
	buf_char(text, ')');
}

static void write_never(struct buf *text, double never)
{
	if (never > ALWAYS_MOST)
		buf_printf(text, "in no simulation run is the charge ready within %d days", DRY_HORIZON);
	else
		buf_printf(text, "in %.0f %% of the simulation runs the charge is not ready within %d days", 100 * never, DRY_HORIZON);
}

/* Where the mean of the probes comes to rest by the fit, if the air stays as it is. */
static double resting_level(const struct dry_snapshot *s)
{
	double day = s->now + AT_REST_DAYS, sum = 0;

	for (size_t i = 0; i < s->n; i++) {
		double mc;

		dry_curve(&s->charge, &s->fit, s->probe[i], &day, 1, &mc);
		sum += mc;
	}
	return sum / (double)s->n;
}

/* Why it is never ready: the air, where the wood would settle outside the band in it. */
static void put_never(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	double level = resting_level(s);

	write_never(&r->text, s->forecast.never);
	if (level > s->rule->high || level < s->rule->low) {
		buf_printf(&r->text, "; in this air the wood settles at %.1f %%, %s the band", level, level > s->rule->high ? "above" : "below");
		dry_write_remedy(r, level, AIR_DAYS);
	} else {
		buf_str(&r->text, "; check the driest piece and the kiln's settings");
	}
	if (s->fails & DRY_UNSURE)
		buf_printf(&r->text, "; check whether %zu probe%s can show a proportion of %.0f %%", s->n, PLURAL(s->n, "", "s"), 100 * s->rule->share);
	dry_put_reason(r, "warning", "never");
}

/* Why there is none. */
static void put_stale(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	double days = s->now - dry_readings_now(s).last_day;

	buf_printf(&r->text, "no forecast: the probes were last read %.0f days ago, and a reading says nothing after %d days; ", days, DRY_HORIZON);
	buf_str(&r->text, "read them, or enter the line that emptied the charge");
	dry_put_reason(r, "against", "stale");
}

void dry_put_forecast(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	const struct dry_forecast *f = &s->forecast;

	if (s->stale && s->fails)
		put_stale(r);
	if (!(f->never >= 0) || s->never)
		return;
	write_expected(&r->text, f->median - s->now);
	buf_str(&r->text, " with daily readings");
	write_ranges(&r->text, f, s->now);
	buf_printf(&r->text, "; based on %zu earlier charge%s and %zu probe%s", s->prior->ncharges, PLURAL(s->prior->ncharges, "", "s"), s->n,
		PLURAL(s->n, "", "s"));
	dry_put_reason(r, "note", "forecast");
	if (f->never >= NEVER_LEAST)
		put_never(r);
}
