#include <math.h>

#include "dry/dry_view_internal.h"
#include "house/house.h"
#include "wood/climate.h"

/* Over how long the air of a store is looked at, as wy-dry(1) says. */
enum { STORE_DAYS = 28 };

static const char *const SIGN_WORDS[DRY_SIGNS] = {
	[DRY_STALLS] = "stall", [DRY_HURRIES] = "too-fast", [DRY_STUCK] = "stuck", [DRY_PARTS] = "parts", [DRY_JUMPS] = "jump",
	[DRY_UNDER_FLOOR] = "floor", [DRY_WIDENS] = "spread-grows", [DRY_EQUALIZE] = "equalize", [DRY_RESTS_OFF] = "rests-off",
	[DRY_LOST] = "overdue", [DRY_UNTRUE] = "oven-differs", [DRY_HAND_PARTS] = "hand-differs"
};

static void write_equalize(const struct dry_reasons *r, const struct dry_warning *w, struct buf *text)
{
	const struct dry_weather *air = dry_climate_last(dry_climates_find(&r->ask->charges->climates, r->s->c->kiln), r->s->now_s);
	double temp = air ? air->temp_c : NAN, rh = rh_for_emc_pct(temp, w->limit);

	buf_printf(text, "the driest is at %.1f %%, the wettest is not there: equalizing is worth starting; hold an EMC of %.1f %%", w->value, w->limit);
	if (isfinite(rh))
		buf_printf(text, ", which is %.0f %% RH at %.0f C, until the wettest is in the band", rh, temp);
}

static void write_hurry(const struct dry_snapshot *s, const struct dry_warning *w, struct buf *text)
{
	struct slice label = dry_label_of(s, w->probe);
	struct dry_pace pace = dry_pace_of(&s->charge.probe[w->probe], s->now);
	const struct dry_rate_limit *most = dry_rate_limit_at(s->limits.most, s->limits.nmost, pace.mc);

	buf_printf(text, "probe %.*s lost %.2f points a day over %.1f days, at %.1f %%; at most %.2f are allowed", (int)label.n, label.p, w->value, w->days,
		pace.mc, w->limit);
	if (!most->rest) {
		buf_str(text, " in ");
		dry_write_band(text, most);
	}
	buf_str(text, ": the wood may check");
}

/* A stall, with what the kiln's air did, where that was measured. */
static void write_stall(const struct dry_reasons *r, const struct dry_warning *w, struct buf *text)
{
	const struct dry_climate *climate = dry_climates_find(&r->ask->charges->climates, r->s->c->kiln);
	double emc = dry_climate_emc(climate, r->s->now_s, w->days), before = dry_climate_emc(climate, r->s->now_s - llround(w->days * DAY_S), w->days);

	buf_printf(text, "the mean fell %.1f points in %.1f days, where %.1f were to be expected in the air of before", w->value, w->days, w->limit);
	if (isfinite(emc) && isfinite(before))
		buf_printf(text, "; that air stood at an EMC of %.1f %%, and at %.1f %% before", emc, before);
	buf_str(text, ": look at the kiln's air and machine");
}

static void write_parting(const struct dry_snapshot *s, const struct dry_warning *w, struct buf *text)
{
	static const char *const WHAT[DRY_OWN][2] = {
		{ "dries slower than", "dries faster than" }, { "began drier than", "began wetter than" }, { "rests lower than", "rests higher than" }
	};
	struct slice label = dry_label_of(s, w->probe);

	buf_printf(text, "the piece of probe %.*s %s pieces of this works do (by %.1f standard deviations): a wet pocket, another wood, or a bad contact",
		(int)label.n, label.p, WHAT[(int)w->limit][w->value > 0], fabs(w->value));
}

/* What readings say by themselves, of one probe or of all. */
static void write_plain(const struct dry_warning *w, struct slice label, const char *day, struct buf *text)
{
	int n = (int)label.n;
	const char *higher = w->value > 0 ? "higher" : "lower", *above = w->value > 0 ? "above" : "below";
	double off = fabs(w->value);

	switch (w->sign) {
	case DRY_STUCK:
		buf_printf(text, "probe %.*s has shown %.1f %% for %.1f days while the others moved: a wire or a pin is off", n, label.p, w->value, w->days);
		break;
	case DRY_JUMPS:
		buf_printf(text, "probe %.*s read %.1f points %s its curve on %s", n, label.p, off, above, day);
		break;
	case DRY_UNDER_FLOOR:
		buf_printf(text, "probe %.*s was down to %.1f %% on %s; the band begins at %.1f %%", n, label.p, w->value, day, w->limit);
		break;
	case DRY_WIDENS:
		buf_printf(text, "wettest and driest are %.1f points apart, %.1f more than %.1f days before", w->limit, w->value, w->days);
		break;
	case DRY_RESTS_OFF:
		buf_printf(text, "the readings come to rest %.1f points %s than earlier charges did in such air: check the meter and the hygrometer", off, higher);
		break;
	case DRY_LOST:
		buf_printf(text, "probe %.*s has not been read for %.1f days; every %.1f is the house's rule", n, label.p, w->days, w->limit);
		break;
	case DRY_UNTRUE:
		buf_printf(text, "the probes stood %.1f points %s than %.0f piece%s from the oven: check the meter's line", off, higher, w->limit, w->limit > 1 ? "s" : "");
		break;
	case DRY_HAND_PARTS:
		buf_printf(text, "a piece read by hand on %s was at %.1f %%, %.1f standard deviations %s its fellows: %s", day, w->limit, off, above,
			w->value > 0 ? "a wet pocket; read more of them" : "another wood, or a dry corner");
		break;
	default:
		break;
	}
}

static void write_sign(const struct dry_reasons *r, const struct dry_warning *w, struct buf *text)
{
	const struct dry_snapshot *s = r->s;
	struct buf day = BUF_INIT;

	switch (w->sign) {
	case DRY_STALLS:
		write_stall(r, w, text);
		break;
	case DRY_HURRIES:
		write_hurry(s, w, text);
		break;
	case DRY_PARTS:
		write_parting(s, w, text);
		break;
	case DRY_EQUALIZE:
		write_equalize(r, w, text);
		break;
	default:
		if (isfinite(w->days))
			day_write(&day, charges_day(r->ask->charges, s->c->load_s + llround(w->days * DAY_S)));
		write_plain(w, w->probe == SIZE_MAX ? SLICE("") : dry_label_of(s, w->probe), buf_cstr(&day), text);
		break;
	}
	buf_release(&day);
}

/* The stores whose air would not keep the target. */
static void put_stores(struct dry_reasons *r)
{
	const struct charges *charges = r->ask->charges;
	const struct dry_rule *rule = &charges->rule;

	for (size_t i = 0; i < charges->house->nplaces; i++) {
		const struct house_place *p = &charges->house->places[i];
		double emc = dry_climate_emc(dry_climates_find(&charges->climates, p->id), r->s->now_s, STORE_DAYS);

		if (p->kind != HOUSE_PLACE_KIND_STORE || !house_range_given(p->target) || !(emc < rule->low || emc > rule->high))
			continue;
		buf_printf(&r->text, "the air of %.*s stood at an EMC of %.1f %% (give or take 1) in the last 28 days: blades at %.1f %% will not stay so there",
			(int)p->id.n, p->id.p, emc, charges->target);
		dry_put_reason(r, "warning", "store");
	}
}

void dry_put_warnings(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;

	for (size_t i = 0; i < s->nwarnings; i++) {
		write_sign(r, &s->warning[i], &r->text);
		dry_put_reason(r, "warning", SIGN_WORDS[s->warning[i].sign]);
	}
	if (s->open)
		put_stores(r);
}
