#include <math.h>

#include "dry/dry_view_internal.h"
#include "house/house.h"
#include "wood/climate.h"

/* The days of a store's air that count, as wy-dry(1) says. */
enum { STORE_DAYS = 28 };

static const char *const SIGN_WORDS[DRY_SIGNS] = {
	[DRY_STALLS] = "stall", [DRY_SETTLES] = "settles", [DRY_HURRIES] = "too-fast", [DRY_STUCK] = "stuck", [DRY_PARTS] = "parts", [DRY_JUMPS] = "jump",
	[DRY_UNDER_FLOOR] = "floor", [DRY_WIDENS] = "spread-grows", [DRY_EQUALIZE] = "equalize", [DRY_RESTS_OFF] = "rests-off",
	[DRY_LOST] = "overdue", [DRY_UNTRUE] = "oven-differs", [DRY_HAND_PARTS] = "hand-differs", [DRY_LEFT_BAND] = "left-band",
	[DRY_OUT_WET] = "out-early", [DRY_NO_WOOD] = "no-wood", [DRY_RUSHED] = "too-close"
};

const char *dry_sign_word(enum dry_sign sign)
{
	return SIGN_WORDS[sign];
}

static void write_equalize(const struct dry_reasons *r, const struct dry_warning *w, struct buf *text)
{
	const struct dry_weather *air = dry_climate_last(dry_climates_find(&r->ask->charges->climates, r->s->c->kiln), r->s->now_s);
	double temp = air ? air->temp_c : NAN, rh = rh_for_emc_pct(temp, w->limit);

	buf_printf(text, "the driest probe reads %.1f %% and the wettest is above the band; start to equalize: hold an EMC of %.1f %%", w->value, w->limit);
	if (isfinite(rh))
		buf_printf(text, ", which is %.0f %% RH at %.0f C,", rh, temp);
	buf_str(text, " until the wettest is in the band");
}

static void write_hurry(const struct dry_snapshot *s, const struct dry_warning *w, struct buf *text)
{
	struct slice label = dry_label_of(s, w->probe);
	struct dry_pace pace = dry_pace_of(&s->charge.probe[w->probe], s->now);
	const struct dry_rate_limit *most = dry_rate_limit_at(s->limits.most, s->limits.nmost, pace.mc);

	buf_printf(text, "probe %.*s lost %.2f points a day over ", (int)label.n, label.p, w->value);
	dry_write_days(text, w->days);
	buf_printf(text, ", at %.1f %%; at most %.2f are allowed", pace.mc, w->limit);
	if (!most->rest) {
		buf_str(text, " at ");
		dry_write_band(text, most);
	}
	buf_str(text, "; the wood may check");
}

/* A stall, with the EMC of the kiln's air where it was measured. */
static void write_stall(const struct dry_reasons *r, const struct dry_warning *w, struct buf *text)
{
	const struct dry_climate *climate = dry_climates_find(&r->ask->charges->climates, r->s->c->kiln);
	double emc = dry_climate_emc(climate, r->s->now_s, w->days), before = dry_climate_emc(climate, r->s->now_s - llround(w->days * DAY_S), w->days);

	buf_printf(text, "the mean %s %.1f points in %.1f days; %.1f expected from the earlier air", w->value < 0 ? "rose" : "fell", fabs(w->value), w->days,
		w->limit);
	if (isfinite(emc) && isfinite(before))
		buf_printf(text, "; its EMC was %.1f %% then and is %.1f %% now", before, emc);
	buf_str(text, "; check the kiln's air and its machine");
}

void dry_write_remedy(struct dry_reasons *r, double level, double days)
{
	const struct dry_climate *climate = dry_climates_find(&r->ask->charges->climates, r->s->c->kiln);
	const struct dry_weather *last = dry_climate_last(climate, r->s->now_s);
	double emc = dry_climate_emc(climate, r->s->now_s, days), target = r->s->limits.target, rh;

	if (isnan(emc) && last)
		emc = dry_weather_emc(last, false);
	rh = last ? rh_for_emc_pct(last->temp_c, emc + target - level) : NAN;
	if (isfinite(rh))
		buf_printf(&r->text, "; %s the RH to %.0f %% at %.0f C, which leads to %.1f %%", level > target ? "lower" : "raise", rh, last->temp_c, target);
	else
		buf_printf(&r->text, "; it needs %s air", level > target ? "drier" : "damper");
}

static void write_settled(struct dry_reasons *r, const struct dry_warning *w)
{
	buf_printf(&r->text, "the wood settles at %.1f %% in this air, %s the band: in %.0f days it came nearer by %.1f points at most", w->value,
		w->value > r->s->rule->high ? "above" : "below", w->days, w->limit);
	dry_write_remedy(r, w->value, w->days);
}

static void write_parting(const struct dry_snapshot *s, const struct dry_warning *w, struct buf *text)
{
	static const char *const WHAT[DRY_OWN][2] = {
		{ "dries slower", "dries faster" }, { "started drier", "started wetter" }, { "equilibrates lower", "equilibrates higher" }
	};
	struct slice label = dry_label_of(s, w->probe);

	buf_printf(text, "the piece of probe %.*s %s than is usual here, by %.1f standard deviations; check for a wet pocket, different wood or a bad contact",
		(int)label.n, label.p, WHAT[(int)w->limit][w->value > 0], fabs(w->value));
}

static void write_overdue(const struct dry_snapshot *s, const struct dry_warning *w, struct buf *text)
{
	struct slice label = dry_label_of(s, w->probe);
	bool read = dry_read_by(&s->known[w->probe], s->now);

	buf_printf(text, "probe %.*s %s ", (int)label.n, label.p, read ? "was last read" : "has been in for");
	dry_write_days(text, w->days);
	buf_printf(text, "%s (limit %.3g)", read ? " ago" : " without a reading", w->limit);
}

/* Warnings that the readings alone give, about one probe or all. */
static void write_plain(const struct dry_warning *w, struct slice label, const char *day, struct buf *text)
{
	int n = (int)label.n;
	const char *higher = w->value > 0 ? "higher" : "lower", *above = w->value > 0 ? "above" : "below";
	double off = fabs(w->value);

	switch (w->sign) {
	case DRY_STUCK:
		buf_printf(text, "probe %.*s has shown %.1f %% for %.1f days while the others changed; check its wire and its pins", n, label.p, w->value, w->days);
		break;
	case DRY_JUMPS:
		buf_printf(text, "probe %.*s read %.1f points %s its curve on %s; read it again", n, label.p, off, above, day);
		break;
	case DRY_UNDER_FLOOR:
		buf_printf(text, "probe %.*s fell to %.1f %% on %s; the band starts at %.1f %%", n, label.p, w->value, day, w->limit);
		break;
	case DRY_WIDENS:
		buf_printf(text, "the wettest and the driest probe are %.1f points apart, %.1f more than %.1f days earlier", w->limit, w->value, w->days);
		break;
	case DRY_RESTS_OFF:
		buf_printf(text, "the wood equilibrates %.1f points %s than earlier charges in similar air; check the meter and the hygrometer", off, higher);
		break;
	case DRY_UNTRUE:
		buf_printf(text, "the probes read %.1f points %s than %.0f oven-dried piece%s, more than sampling explains; check the meter's correction", off, higher, w->limit, w->limit > 1 ? "s" : "");
		break;
	case DRY_HAND_PARTS:
		buf_printf(text, "a piece read by hand on %s was at %.1f %%, %.1f standard deviations %s the probes; %s", day, w->limit, off, above,
			w->value > 0 ? "read more pieces to find wet pockets" : "check for different wood or a dry corner");
		break;
	default:
		break;
	}
}

static void write_sign(struct dry_reasons *r, const struct dry_warning *w, struct buf *text)
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
	case DRY_SETTLES:
		write_settled(r, w);
		break;
	case DRY_PARTS:
		write_parting(s, w, text);
		break;
	case DRY_EQUALIZE:
		write_equalize(r, w, text);
		break;
	case DRY_LOST:
		write_overdue(s, w, text);
		break;
	case DRY_LEFT_BAND:
	case DRY_OUT_WET:
	case DRY_NO_WOOD:
	case DRY_RUSHED:
		dry_write_doubt(r, w);
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
		double emc;

		if (p->kind != HOUSE_PLACE_KIND_STORE || !house_range_given(p->target))
			continue;
		emc = dry_climate_emc(dry_climates_find(&charges->climates, p->id), r->s->now_s, STORE_DAYS);
		if (!(emc < rule->low || emc > rule->high))
			continue;
		buf_printf(&r->text, "the four-week EMC of %.*s is %.1f %% (good to 1 either way), outside the band; blades at %.1f %% will not stay there",
			(int)p->id.n, p->id.p, emc, charges->target);
		dry_put_reason(r, "warning", "store");
	}
}

void dry_put_warnings(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;

	for (size_t i = 0; i < s->nwarnings; i++) {
		write_sign(r, &s->warning[i], &r->text);
		dry_put_reason(r, dry_sign_doubts(s->warning[i].sign) ? "doubt" : "warning", SIGN_WORDS[s->warning[i].sign]);
	}
	if (s->open)
		put_stores(r);
}
