#include <math.h>

#include "base/yaml.h"
#include "dry/dry_view_internal.h"
#include "house/house.h"
#include "math/sampling.h"

/* How old a reading by hand may be to count, as wy-dry(1) says. */
enum { HAND_DAYS = 3 };

/* Where the house names neither: nine pieces in ten, and nine times in ten. */
static const double USUAL_SHARE = 0.9;
static const double USUAL_SURE = 0.9;

/* A two-sided confidence must be above 0. */
static const double SURE_LEAST = 1e-6;

/* ---- the parts of the rule */

static void put_part(struct dry_reasons *r, unsigned parts, const char *what)
{
	dry_put_reason(r, r->s->fails & parts ? "against" : "for", what);
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
	buf_printf(&r->text, "the wettest probe, %.*s, reads %.1f %%; at most %.1f %% is allowed", (int)label.n, label.p, s->run[wet].last, s->rule->high);
	put_part(r, DRY_TOO_WET, "wettest");
	label = dry_label_of(s, s->probe[dry]);
	buf_printf(&r->text, "the driest probe, %.*s, reads %.1f %%; at least %.1f %% is required", (int)label.n, label.p, s->run[dry].last, s->rule->low);
	put_part(r, DRY_TOO_DRY, "driest");
	if (s->rule->spread >= 0) {
		buf_printf(&r->text, "the wettest and the driest probe are %.1f points apart; at most %.1f are allowed",
			s->run[wet].last - s->run[dry].last, s->rule->spread);
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

static void write_readings(struct buf *text, int fewest, int needed)
{
	int n = fewest < needed ? fewest : needed;

	if (needed > 1 && n == needed)
		buf_printf(text, "the last %d readings of every probe are in the band", n);
	else if (needed > 1)
		buf_printf(text, "%d of the %d consecutive readings needed %s in the band", n, needed, PLURAL(n, "is", "are"));
	else
		buf_str(text, n ? "the last reading of every probe is in the band" : "not all probes were in the band at their last reading");
}

static void write_hold(struct buf *text, const struct lasting *l, double hold)
{
	if (!l->fewest) {
		buf_str(text, "not all probes are in the band; they must stay in it for ");
		dry_write_days(text, hold);
		return;
	}
	buf_str(text, "all probes have been in the band for ");
	dry_write_days(text, l->shortest);
	buf_str(text, "; at least ");
	dry_write_days(text, hold);
	buf_str(text, hold > 1 ? " are required" : " is required");
}

static void write_loss(struct buf *text, double quickest, double most)
{
	if (quickest > 0)
		buf_printf(text, "the fastest probe loses %.2f points a day; at most %.2f are allowed", quickest, most);
	else
		buf_printf(text, "no probe loses moisture; at most %.2f points a day are allowed", most);
}

static void put_lasting(struct dry_reasons *r)
{
	const struct dry_rule *rule = r->s->rule;
	struct lasting l = lasting_of(r->s);

	write_readings(&r->text, l.fewest, rule->readings);
	put_part(r, DRY_TOO_FEW | DRY_UNREAD, "readings");
	if (rule->hold > 0) {
		write_hold(&r->text, &l, rule->hold);
		put_part(r, DRY_TOO_SHORT | DRY_UNREAD, "hold");
	}
	if (rule->rate >= 0 && isfinite(l.quickest)) {
		write_loss(&r->text, l.quickest, rule->rate);
		put_part(r, DRY_TOO_QUICK, "rate");
	}
}

/* ---- what few pieces show about all */

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
	buf_printf(&r->text, "%lld of %lld piece%s read by hand in the last %d days %s in the band; a random sample of that size shows with %.0f %% confidence that at least %.0f %% of all pieces are",
		(long long)in, (long long)n, PLURAL(n, "", "s"), HAND_DAYS, PLURAL(in, "is", "are"), 100 * sure,
		floor(100 * sampling_share(in, n, fmax(2 * sure - 1, SURE_LEAST)).low));
	dry_put_reason(r, "note", "hand-read");
}

/* A share that the house asks for is part of the rule; else what is assured is for information. */
static const char *side_of_share(const struct dry_snapshot *s)
{
	return s->rule->share > 0 ? s->fails & DRY_UNSURE ? "against" : "for" : "note";
}

static void write_shown(struct buf *text, const struct dry_snapshot *s, double share, double sure)
{
	double least = floor(100 * s->assures);

	if (isnan(s->assures))
		buf_printf(text, "%zu probe%s cannot show the moisture of the other pieces", s->n, PLURAL(s->n, "", "s"));
	else if (least < 1)
		buf_printf(text, "%zu probes do not show with %.0f %% confidence that any other piece is in the band", s->n, 100 * sure);
	else
		buf_printf(text, "%zu probes show with %.0f %% confidence that at least %.0f %% of the pieces are in the band, if they are a random sample",
			s->n, 100 * sure, least);
	if (!s->fails && !(s->assures >= share))
		buf_str(text, "; read pieces by hand to show more");
}

/* "line 12 of the house file (share: 90%) requires". */
static void write_required(struct dry_reasons *r)
{
	const struct dry_rule *rule = r->s->rule;
	const struct yaml *at = yaml_get(r->ask->charges->house->ready.node, "share");
	struct buf *text = &r->text;

	if (at)
		buf_printf(text, "line %zu of the house file (share: ", at->line);
	else
		buf_str(text, "the house file (share: ");
	buf_printf(text, "%.3g%%) requires", 100 * rule->share);
}

/* The rule and not the wood is at fault. */
static void write_never(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;

	write_required(r);
	buf_printf(&r->text, " what %zu probe%s can never show at %.3g %% confidence; ", s->n, PLURAL(s->n, "", "s"), 100 * s->rule->sure);
	if (s->needed == SIZE_MAX)
		buf_str(&r->text, "no number of probes can, in a band so narrow; ");
	else
		buf_printf(&r->text, "it takes %zu or more; ", s->needed);
	buf_str(&r->text, "change share: or sure: there, or put more probes in");
}

/* What n probes show about the charge, and how many pieces to read by hand to show more. */
static void put_share(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;
	double share = s->rule->share > 0 ? s->rule->share : USUAL_SHARE, sure = s->rule->sure > 0 ? s->rule->sure : USUAL_SURE;

	if (s->never)
		write_never(r);
	else
		write_shown(&r->text, s, share, sure);
	dry_put_reason(r, s->never ? "against" : side_of_share(s), s->never ? "rule" : "share");
	buf_printf(&r->text, "for %.0f %% confidence that %.0f %% of the pieces are in the band, read %lld pieces taken at random with none outside it, %lld with at most 1, or %lld with at most 2",
		100 * sure, 100 * share, (long long)sampling_pieces(share, sure, 0), (long long)sampling_pieces(share, sure, 1), (long long)sampling_pieces(share, sure, 2));
	dry_put_reason(r, "note", "by-hand");
	put_hand_read(r, sure);
}

/* ---- all of them */

void dry_put_reasons(struct dry_reasons *r)
{
	const struct dry_snapshot *s = r->s;

	if (!s->rule) {
		buf_str(&r->text, "the house file does not say when a charge is ready; add a rule, such as ready: {target: 9%}");
		dry_put_reason(r, "against", "rule");
	} else if (s->n == 0) {
		buf_str(&r->text, "no probe is in the charge; put probes in and record them with in=");
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
		buf_str(&r->text, "the verdict is about moisture only; when you open or enter a kiln, follow the maker's instructions and local rules");
		dry_put_reason(r, "note", "caution");
	}
}
