#include "dry/snapshot.h"

#include <math.h>
#include <stdlib.h>

#include "book/value.h"
#include "dry/doubts.h"
#include "dry/history.h"
#include "dry/rate.h"
#include "house/house.h"

#define HOURS_A_DAY 24.0

/* The factor of a linear congruential generator (Knuth's MMIX): each reading moves all bits of the seed. */
#define SEED_FACTOR UINT64_C(6364136223846793005)

/* Of a charge that is over the rule looks at the probes that came out so many days before the last, or later. */
static const double OUT_TOGETHER_DAYS = 0.5;

/* ---- what was known by then */

/* Whether a probe was there by then; masses begin to say something with the second. */
static bool is_known(const struct dry_snapshot *s, const struct dry_probe *probe, enum dry_source source)
{
	if (source == DRY_PROBE)
		return probe->from <= s->now;
	return dry_read_by(probe, s->now) >= (source == DRY_WEIGHED || source == DRY_LOAD ? 2 : 1);
}

static void take_known(struct dry_snapshot *s)
{
	const struct dry_charge *all = &s->c->charge;
	size_t n = 0;

	s->known = mem_array(all->nprobes, sizeof *s->known);
	s->place = mem_array(all->nprobes, sizeof *s->place);
	for (size_t p = 0; p < all->nprobes; p++)
		if (is_known(s, &all->probe[p], s->c->place[p].source)) {
			s->known[n] = all->probe[p];
			s->place[n++] = s->c->place[p];
		}
	s->charge = *all;
	s->charge.probe = s->known;
	s->charge.nprobes = n;
	s->charge.still = dry_still_at(&s->charge, s->now);
}

/* Until when the last probes were in it. */
static double last_in(const struct dry_snapshot *s)
{
	double last = 0;

	for (size_t p = 0; p < s->charge.nprobes; p++)
		if (s->known[p].ruled)
			last = fmax(last, fmin(s->known[p].until, s->now));
	return last;
}

bool dry_snapshot_out_early(const struct dry_snapshot *s, const struct dry_probe *probe)
{
	return probe->until < last_in(s) - OUT_TOGETHER_DAYS;
}

/* Whether the rule looks at a probe at that moment; of a charge that is over, at its last reading. */
static bool counts(const struct dry_snapshot *s, const struct dry_probe *probe)
{
	if (s->open)
		return dry_probe_counts(probe, s->now);
	return probe->ruled && probe->from <= s->now && !dry_snapshot_out_early(s, probe);
}

static void take_runs(struct dry_snapshot *s, const struct dry_rule *rule)
{
	s->run = mem_array(s->charge.nprobes, sizeof *s->run);
	s->probe = mem_array(s->charge.nprobes, sizeof *s->probe);
	for (size_t p = 0; p < s->charge.nprobes; p++)
		if (counts(s, &s->known[p])) {
			s->run[s->n] = dry_run_of(rule, &s->known[p], s->now);
			s->probe[s->n++] = p;
		}
}

/* ---- the house's limits */

/* The end of a band of moisture in points; an open one is infinite. */
static double end_of(int64_t fix)
{
	return fix == INT64_MIN ? -INFINITY : fix == INT64_MAX ? INFINITY : (double)fix / VALUE_STEPS;
}

static struct dry_rate_limit limit_of(const struct house_rate *r)
{
	bool given = house_range_given(r->band);

	return (struct dry_rate_limit){ given ? end_of(r->band.low) : -INFINITY, given ? end_of(r->band.high) : INFINITY, !given,
		(double)r->most / VALUE_STEPS };
}

static void take_limits(struct dry_snapshot *s, const struct charges *charges)
{
	const struct house_place *kiln = house_place(charges->house, s->c->kiln);
	int64_t every = charges->house->intervals.probe; /* hours */
	struct dry_rate_limit *most = mem_array(kiln ? kiln->nrates : 0, sizeof *most);

	s->limits = (struct dry_limits){ .target = charges->has_rule ? charges->target : NAN,
		.every = every == HOUSE_NONE ? NAN : (double)every / (HOURS_A_DAY * VALUE_STEPS), .most = most };
	for (size_t i = 0; kiln && i < kiln->nrates; i++)
		if (kiln->rates[i].most != HOUSE_NONE)
			most[s->limits.nmost++] = limit_of(&kiln->rates[i]);
}

/* ---- the verdict */

/* A number that the id and all readings make, so that the same book draws the same. */
static uint64_t seed_of(const struct dry_snapshot *s)
{
	uint64_t seed = slice_hash(s->c->id);

	for (size_t p = 0; p < s->charge.nprobes; p++) {
		size_t n = dry_read_by(&s->known[p], s->now);

		for (size_t i = 0; i < n; i++)
			seed = seed * SEED_FACTOR + (uint64_t)llround(s->known[p].reading[i].mc * 1000);
	}
	return seed;
}

static bool all_read(const struct dry_snapshot *s)
{
	for (size_t i = 0; i < s->n; i++)
		if (!s->run[i].read)
			return false;
	return s->n > 0;
}

/* The last reading of the probes that the rule looks at. */
static bool is_stale(const struct dry_snapshot *s)
{
	double last = -HUGE_VAL;

	for (size_t i = 0; i < s->n; i++)
		if (s->run[i].read)
			last = fmax(last, s->run[i].last_day);
	return s->open && isfinite(last) && s->now - last > DRY_HORIZON;
}

/* What readings show of themselves: no other reading makes it hold. */
enum { SHOWN = DRY_TOO_WET | DRY_TOO_DRY | DRY_TOO_WIDE | DRY_TOO_QUICK };

/* By how far pieces spread that are at rest, which is the least that they spread by. */
static const double AT_REST_DAYS = 365;

static bool is_doubted(const struct dry_snapshot *s)
{
	for (size_t i = 0; i < s->nwarnings; i++)
		if (dry_sign_doubts(s->warning[i].sign))
			return true;
	return false;
}

static enum dry_verdict verdict_of(const struct dry_snapshot *s)
{
	if (!s->open)
		return DRY_EMPTIED;
	if (!s->rule || s->n == 0)
		return DRY_UNKNOWN;
	if (s->fails && s->stale)
		return DRY_UNKNOWN;
	if (s->fails & SHOWN)
		return DRY_NOT_READY;
	if (s->fails & DRY_UNREAD)
		return DRY_UNKNOWN;
	if (dry_rule_rushed(s->rule, s->run, s->n, s->fails))
		return DRY_DOUBTFUL;
	if (s->fails)
		return s->fails == DRY_UNSURE && s->never ? DRY_UNKNOWN : DRY_NOT_READY;
	return is_doubted(s) ? DRY_DOUBTFUL : DRY_READY;
}

static void judge(struct dry_snapshot *s)
{
	double spread = dry_spread(&s->charge, s->prior, &s->fit, s->now);

	s->fails = dry_rule_fails(s->rule, s->run, s->n, spread);
	s->assures = s->fails & DRY_UNREAD ? NAN : dry_rule_assures(s->rule, s->run, s->n, spread);
	s->needed = dry_rule_probes(s->rule, dry_spread(&s->charge, s->prior, &s->fit, s->now + AT_REST_DAYS));
	s->never = s->fails && s->needed > s->n;
	s->nwarnings = dry_warn(&s->charge, s->prior, &s->fit, s->rule, &s->limits, s->warning, DRY_WARNINGS_MOST);
	if (s->open)
		s->nwarnings += dry_doubt(&s->charge, s->place, &s->fit, s->rule, s->fails, s->warning + s->nwarnings, DRY_WARNINGS_MOST - s->nwarnings);
}

/* Whether there is something to foretell, and readings to do it by. */
static bool is_foretold(const struct dry_snapshot *s)
{
	return s->rule && s->open && s->fails && all_read(s) && !s->stale;
}

/* Where the rule can never hold there is nothing to simulate. */
void dry_snapshot_forecast(struct dry_snapshot *s)
{
	if (!is_foretold(s))
		return;
	if (!s->never) {
		dry_forecast(&s->charge, s->prior, &s->fit, s->rule, seed_of(s), &s->forecast, &s->seen);
		return;
	}
	s->forecast.never = s->seen.never = 1;
	s->forecast.share[DRY_HORIZON + 1] = s->seen.share[DRY_HORIZON + 1] = 1;
}

bool dry_snapshot_trials(const struct dry_snapshot *s, struct dry_trials *trials)
{
	if (s->never || !is_foretold(s))
		return false;
	dry_forecast_trials(&s->charge, s->prior, &s->fit, s->rule, seed_of(s), trials);
	return true;
}

void dry_snapshot_init(struct dry_snapshot *s, struct history *history, const struct dry_case *c, int64_t now_s)
{
	const struct charges *charges = history->charges;
	const struct dry_forecast none = { .median = HUGE_VAL, .low50 = HUGE_VAL, .high50 = HUGE_VAL, .low80 = HUGE_VAL, .high80 = HUGE_VAL,
		.low90 = HUGE_VAL, .high90 = HUGE_VAL, .never = NAN };

	*s = (struct dry_snapshot){ .c = c, .open = c->end_s >= now_s, .assures = NAN,
		.forecast = none, .seen = none };
	s->now_s = s->open ? now_s : c->end_s;
	s->now = fmax(dry_case_day(c, s->now_s), 0);
	s->prior = history_prior_at(history, s->now_s);
	s->rule = charges->has_rule ? &charges->rule : NULL;
	take_known(s);
	take_limits(s, charges);
	dry_fit(&s->charge, s->prior, s->now, &s->fit);
	take_runs(s, &charges->rule);
	s->stale = is_stale(s);
	if (s->rule)
		judge(s);
	s->verdict = verdict_of(s);
}

void dry_snapshot_release(struct dry_snapshot *s)
{
	dry_fit_release(&s->fit);
	free((void *)(uintptr_t)s->limits.most);
	free(s->known);
	free(s->place);
	free(s->run);
	free(s->probe);
}

const char *dry_snapshot_verdict(const struct dry_snapshot *s)
{
	static const char *const WORDS[DRY_VERDICTS] = { [DRY_READY] = "ready", [DRY_NOT_READY] = "not ready", [DRY_DOUBTFUL] = "doubtful",
		[DRY_UNKNOWN] = "unknown", [DRY_EMPTIED] = "emptied" };

	return WORDS[s->verdict];
}

/* ---- dates */

/* Midnight belongs to the day that it ends: a second before it is on that day. Less would be rounded away. */
static const double BEFORE_MIDNIGHT = 1.0 / DAY_S;

/* A whole day d covers d - 1/2 to d + 1/2 (forecast.h), and its date is that of the day that ends then. */
struct dry_ready_days dry_ready_days(const struct dry_snapshot *s, const struct dry_forecast *f)
{
	return (struct dry_ready_days){
		.median = s->now + ceil(f->median - s->now - 0.5 - BEFORE_MIDNIGHT) - BEFORE_MIDNIGHT,
		.low50 = f->low50 + 0.5 - BEFORE_MIDNIGHT,
		.high50 = f->high50 - 0.5 - BEFORE_MIDNIGHT,
		.low80 = f->low80 + 0.5 - BEFORE_MIDNIGHT,
		.high80 = f->high80 - 0.5 - BEFORE_MIDNIGHT,
		.low90 = f->low90 + 0.5 - BEFORE_MIDNIGHT,
		.high90 = f->high90 - 0.5 - BEFORE_MIDNIGHT,
	};
}
