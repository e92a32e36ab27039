#include <math.h>

#include "dry/dry_view_internal.h"
#include "dry/dry_view_internal.h"
#include "math/sampling.h"

/* How old a reading by hand may be to count, as wy-dry(1) says. */
enum { HAND_DAYS = 3 };

/* Where the house names neither: nine pieces in ten, and nine times in ten. */
static const double USUAL_SHARE = 0.9;
static const double USUAL_SURE = 0.9;

/* A confidence that is asked of two sides has to be above 0. */
static const double SURE_LEAST = 1e-6;

/* ---- the parts of the rule */

static void put_part(struct dry_reasons *r, unsigned part, const char *what)
{
	dry_put_reason(r, r->s->fails & part ? "against" : "for", what);
}

/* The run whose last reading is the most (or the least, for -1). */
static size_t extreme(const struct dry_snapshot *s, int sign)
{
	size_t best = SIZE_MAX;

	for (size_t i = 0; i < s->n; i++)
		if (s->run[i].read && (best == SIZE_MAX || sign * (s->run[i].last - s->run[best].last) > 0))
			best = i;
	return best;
}

static void put_band(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	size_t wet = extreme(s, 1), dry = extreme(s, -1);
	struct slice label;

	if (wet == SIZE_MAX)
		return;
	label = dry_label_of(s, s->probe[wet]);
	buf_printf(&r->text, "probe %.*s reads %.1f %%; at most %.1f %% is asked", (int)label.n, label.p, s->run[wet].last, s->rule->high);
	put_part(r, DRY_TOO_WET, "wettest");
	label = dry_label_of(s, s->probe[dry]);
	buf_printf(&r->text, "probe %.*s reads %.1f %%; at least %.1f %% is asked", (int)label.n, label.p, s->run[dry].last, s->rule->low);
	put_part(r, DRY_TOO_DRY, "driest");
	if (s->rule->spread >= 0) {
		buf_printf(&r->text, "wettest and driest are %.1f points apart; at most %.1f are asked", s->run[wet].last - s->run[dry].last,
			s->rule->spread);
		put_part(r, DRY_TOO_WIDE, "spread");
	}
}

/* How long all probes have been in the band, and how fast the quickest still dries. */
struct lasting {
	int fewest;                /* readings in a row */
	double shortest, quickest; /* days; points a day, infinite where none was read twice */
};

static struct lasting lasting_of(const struct dry_snapshot *s)
{
	struct lasting l = { INT32_MAX, HUGE_VAL, -HUGE_VAL };

	for (size_t i = 0; i < s->n; i++) {
		const struct dry_run *run = &s->run[i];

		l.fewest = run->in_band < l.fewest ? run->in_band : l.fewest;
		l.shortest = fmin(l.shortest, run->in_band ? run->last_day - run->since : 0);
		if (run->read_before && run->last_day > run->before_day)
			l.quickest = fmax(l.quickest, (run->before - run->last) / (run->last_day - run->before_day));
	}
	return l;
}

static void put_lasting(struct dry_reasons *r)
{
	const struct dry_rule *rule = r->s->rule;
	struct lasting l = lasting_of(r->s);

	buf_printf(&r->text, "in the band in a row, up to the last, at every probe: %d reading%s; %d are asked", l.fewest, l.fewest == 1 ? "" : "s",
		rule->readings);
	put_part(r, DRY_TOO_FEW, "readings");
	if (rule->hold > 0) {
		buf_printf(&r->text, "in the band at every probe for %.1f days up to the last reading; %.1f are asked", l.shortest, rule->hold);
		put_part(r, DRY_TOO_SHORT, "hold");
	}
	if (rule->rate >= 0 && isfinite(l.quickest)) {
		buf_printf(&r->text, "the quickest probe loses %.2f points a day; at most %.2f are asked", l.quickest, rule->rate);
		put_part(r, DRY_TOO_QUICK, "rate");
	}
}

/* ---- what few pieces say of all */

/*
 * What pieces that were taken out and read by hand in the last days say: exact binomial limit (Clopper and
 * Pearson), one-sided.
 */
static void put_hand_read(struct dry_reasons *r, double sure)
{
	const struct dry_snapshot *s = r->s;
	int64_t n = 0, in = 0;

	for (size_t p = 0; p < s->charge.nprobes; p++) {
		const struct dry_reading *reading = s->known[p].reading;

		if (s->place[p].source != DRY_RANDOM || reading->day < s->now - HAND_DAYS)
			continue;
		n++;
		in += dry_rule_in_band(s->rule, reading->mc, reading->mark);
	}
	if (n == 0)
		return;
	buf_printf(&r->text, "of %lld piece%s read by hand in the last %d days %lld are in the band: if taken at random, that assures, %.0f %% sure, %.0f %% of the pieces",
		(long long)n, n == 1 ? "" : "s", HAND_DAYS, (long long)in, 100 * sure, floor(100 * sampling_share(in, n, fmax(2 * sure - 1, SURE_LEAST)).low));
	dry_put_reason(r, "note", "hand-read");
}

/* A share that the house asks for is part of the rule; else one that is not assured is worth a warning when the rule holds. */
static const char *side_of_share(const struct dry_snapshot *s, double share)
{
	if (s->rule->share > 0)
		return s->fails & DRY_UNSURE ? "against" : "for";
	return !s->fails && !(s->assures >= share) ? "warning" : "note";
}

/* What n probes can say of the charge, and what pieces taken out by hand would. */
static void put_share(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	double share = s->rule->share > 0 ? s->rule->share : USUAL_SHARE, sure = s->rule->sure > 0 ? s->rule->sure : USUAL_SURE;

	if (isnan(s->assures))
		buf_printf(&r->text, "%zu probe%s cannot say how the other pieces are", s->n, s->n == 1 ? "" : "s");
	else
		buf_printf(&r->text, "%zu probes assure, %.0f %% sure, that %.0f %% of the pieces are in the band; probes in one stack are no random sample, so at best",
			s->n, 100 * sure, floor(100 * s->assures));
	dry_put_reason(r, side_of_share(s, share), "share");
	buf_printf(&r->text, "to be %.0f %% sure that %.0f %% of the pieces are in the band, read by hand %lld pieces taken at random with none out of it, or %lld with at most 1, or %lld with at most 2",
		100 * sure, 100 * share, (long long)sampling_pieces(share, sure, 0), (long long)sampling_pieces(share, sure, 1), (long long)sampling_pieces(share, sure, 2));
	dry_put_reason(r, "note", "by-hand");
	put_hand_read(r, sure);
}

/* ---- all of them */

void dry_put_reasons(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;

	if (!s->rule) {
		buf_str(&r->text, "the house file does not say when a charge is ready; write ready: with a target or a band");
		dry_put_reason(r, "against", "rule");
	} else if (s->n == 0) {
		buf_str(&r->text, "no probe is in it that was read");
		dry_put_reason(r, "against", "probes");
	} else {
		put_band(r);
		put_lasting(r);
		put_share(r);
		dry_put_forecast(r);
		dry_put_kiln_air(r);
	}
	dry_put_warnings(r);
	if (s->open && s->rule && s->n && !s->fails) {
		buf_str(&r->text, "the verdict is about moisture alone; opening and entering a kiln follow the maker's instructions and local rules");
		dry_put_reason(r, "note", "caution");
	}
}
