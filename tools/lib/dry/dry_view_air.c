#include <math.h>

#include "dry/dry_view_internal.h"

/* Offsets that round to the same tenth count as one. */
static const double OFFSETS_APART = 0.05;

/* The kiln's air while the charge was in it. */
struct airing {
	size_t measured, set, corrected;
	double temp_low, temp_high, rh_low, rh_high; /* the least and the greatest correction */
};

static struct airing airing_of(const struct dry_snapshot *s)
{
	struct airing k = { 0, 0, 0, HUGE_VAL, -HUGE_VAL, HUGE_VAL, -HUGE_VAL };

	for (size_t i = 0; i < s->charge.nair && s->charge.air[i].day <= s->now; i++) {
		const struct dry_weather *w = s->c->weather[i];

		if (!w)
			continue;
		k.set += !w->measured;
		k.measured += w->measured;
		if (!w->measured || (w->temp_off_c == 0 && w->rh_off_pct == 0))
			continue;
		k.corrected++;
		k.temp_low = fmin(k.temp_low, w->temp_off_c);
		k.temp_high = fmax(k.temp_high, w->temp_off_c);
		k.rh_low = fmin(k.rh_low, w->rh_off_pct);
		k.rh_high = fmax(k.rh_high, w->rh_off_pct);
	}
	return k;
}

static void write_offset(struct buf *text, const char *before, double low, double high, const char *unit)
{
	if (low == 0 && high == 0)
		return;
	buf_printf(text, "%s%+.1f", before, low);
	if (high - low >= OFFSETS_APART)
		buf_printf(text, " to %+.1f", high);
	buf_str(text, unit);
}

static void write_offsets(struct buf *text, const struct airing *k)
{
	if (k->corrected == k->measured && k->measured > 1)
		buf_printf(text, "all %zu air readings were", k->measured);
	else
		buf_printf(text, "%zu of %zu air reading%s %s", k->corrected, k->measured, PLURAL(k->measured, "", "s"), PLURAL(k->corrected, "was", "were"));
	buf_str(text, " corrected by ");
	write_offset(text, "", k->rh_low, k->rh_high, " % RH");
	write_offset(text, k->rh_low != 0 || k->rh_high != 0 ? " and " : "", k->temp_low, k->temp_high, " C");
	buf_str(text, "; --curve shows the uncorrected EMC");
}

void dry_put_kiln_air(struct dry_reasons *r)
{
	struct airing k = airing_of(r->s);

	if (k.corrected)
		write_offsets(&r->text, &k);
	else if (!k.measured && k.set)
		buf_str(&r->text, "the kiln's air was not measured; its set points are used instead");
	else if (!k.measured)
		buf_printf(&r->text, "the kiln's air was neither measured nor set; an EMC of %.1f %% is assumed, so the forecast is rough",
			r->s->charge.air[0].me_pct);
	if (r->text.n)
		dry_put_reason(r, "note", "air");
}
