#include <math.h>

#include "dry/dry_view_internal.h"
#include "dry/dry_view_internal.h"
#include "dry/prior.h"

/* The share of runs that never came to hold from which a warning is printed: one in twenty (wy-dry(1)). */
static const double NEVER_LEAST = 0.05;

static void write_days(struct buf *text, double days, int places)
{
	if (isfinite(days))
		buf_printf(text, "%.*f", places, days);
	else
		buf_printf(text, "over %d", DRY_HORIZON);
}

/* From one whole day to another, of which the forecast has the ends. */
static void write_range(struct buf *text, double low, double high)
{
	write_days(text, low + 0.5, 0);
	if (!isfinite(low) || high - low < 1.5)
		return;
	buf_str(text, " to ");
	write_days(text, high - 0.5, 0);
}

void dry_put_forecast(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	const struct dry_forecast *f = &s->forecast;

	if (!(f->never >= 0))
		return;
	buf_str(&r->text, "the rule is foreseen to hold ");
	write_days(&r->text, f->median - s->now, 1);
	buf_str(&r->text, " days from now under daily readings (50 %: ");
	write_range(&r->text, f->low50 - s->now, f->high50 - s->now);
	buf_str(&r->text, "; 90 %: ");
	write_range(&r->text, f->low90 - s->now, f->high90 - s->now);
	buf_printf(&r->text, "), from %zu earlier charge%s and %zu probe%s", s->prior->ncharges, s->prior->ncharges == 1 ? "" : "s", s->n,
		s->n == 1 ? "" : "s");
	dry_put_reason(r, "note", "forecast");
	if (f->never >= NEVER_LEAST) {
		buf_printf(&r->text, "in %.0f %% of the trials it does not hold within %d days: look at the driest piece, and at the air that the kiln is led to",
			100 * f->never, DRY_HORIZON);
		dry_put_reason(r, "warning", "never");
	}
}
