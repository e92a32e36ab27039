#include "dry/readiness.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "math/tolerance.h"

/* Points by which a difference of two readings may be above the limit for rounding alone, and days for the same. */
static const double ROUNDING = 1e-9;

/* Points: readings that are all the same spread by no less, so that nothing is divided by 0. */
static const double SD_LEAST = 1e-6;

/* ---- the rule */

bool dry_rule_in_band(const struct dry_rule *rule, double mc, enum dry_mark mark)
{
	return mark == DRY_AT && mc >= rule->low && mc <= rule->high;
}

/* Whether so many days are far enough apart for two readings. */
static bool is_apart(const struct dry_rule *rule, double days)
{
	return days >= rule->apart - ROUNDING;
}

/* How many count in the row with this one, which is in the band. */
static int count_in_band(struct dry_run *run, const struct dry_rule *rule, double day)
{
	if (run->in_band && !is_apart(rule, day - run->counted_day))
		return run->in_band;
	run->counted_day = day;
	return run->in_band + 1;
}

void dry_run_take(struct dry_run *run, const struct dry_rule *rule, double day, double mc, enum dry_mark mark)
{
	bool in = dry_rule_in_band(rule, mc, mark);

	if (!run->read || is_apart(rule, day - run->group_day)) {
		run->before = run->group;
		run->before_day = run->group_day;
		run->read_before = run->read;
		run->group = mc;
		run->group_day = day;
	}
	run->last = mc;
	run->last_day = day;
	run->read = true;
	run->since = in && run->taken ? run->since : day;
	run->taken = in ? run->taken + 1 : 0;
	run->in_band = in ? count_in_band(run, rule, day) : 0;
}

struct dry_run dry_run_of(const struct dry_rule *rule, const struct dry_probe *probe, double day)
{
	struct dry_run run = { 0 };

	for (size_t i = 0; i < probe->n && probe->reading[i].day <= day; i++)
		dry_run_take(&run, rule, probe->reading[i].day, probe->reading[i].mc, probe->reading[i].mark);
	return run;
}

static unsigned run_fails(const struct dry_rule *rule, const struct dry_run *run)
{
	unsigned fails = 0;

	if (!run->read)
		return DRY_UNREAD;
	if (run->last > rule->high)
		fails |= DRY_TOO_WET;
	if (run->last < rule->low)
		fails |= DRY_TOO_DRY;
	if (!run->in_band && !fails) /* a reading off the scale, at the band's edge */
		fails |= DRY_TOO_WET;
	if (run->in_band < rule->readings)
		fails |= DRY_TOO_FEW;
	if (rule->hold > 0 && !(run->in_band && run->last_day - run->since >= rule->hold))
		fails |= DRY_TOO_SHORT;
	if (rule->rate >= 0 && run->read_before && run->last_day > run->before_day &&
		(run->before - run->last) / (run->last_day - run->before_day) > rule->rate)
		fails |= DRY_TOO_QUICK;
	return fails;
}

static bool is_too_wide(const struct dry_rule *rule, const struct dry_run *run, size_t n)
{
	double wettest = -HUGE_VAL, driest = HUGE_VAL;

	for (size_t i = 0; i < n; i++)
		if (run[i].read) {
			wettest = fmax(wettest, run[i].last);
			driest = fmin(driest, run[i].last);
		}
	return rule->spread >= 0 && wettest - driest > rule->spread + ROUNDING;
}

/* All parts but the share. */
unsigned dry_rule_plain_fails(const struct dry_rule *rule, const struct dry_run *run, size_t n)
{
	unsigned fails = n ? 0 : DRY_UNREAD;

	for (size_t i = 0; i < n; i++)
		fails |= run_fails(rule, &run[i]);
	return is_too_wide(rule, run, n) ? fails | DRY_TOO_WIDE : fails;
}

bool dry_rule_holds_plainly(const struct dry_rule *rule, const struct dry_run *run, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (run_fails(rule, &run[i]))
			return false;
	return n && !is_too_wide(rule, run, n);
}

void dry_run_moments(const struct dry_run *run, size_t n, double *mean, double *sd)
{
	double sum = 0, squares = 0;

	for (size_t i = 0; i < n; i++)
		sum += run[i].last;
	*mean = sum / (double)n;
	for (size_t i = 0; i < n; i++)
		squares += (run[i].last - *mean) * (run[i].last - *mean);
	*sd = sqrt(squares / ((double)n - 1));
}

double dry_rule_assures(const struct dry_rule *rule, const struct dry_run *run, size_t n, double spread)
{
	double mean, sd;

	if (n < 2)
		return NAN;
	dry_run_moments(run, n, &mean, &sd);
	sd = fmax(fmax(sd, spread), SD_LEAST);
	return tolerance_cover((double)n, (mean - rule->low) / sd, (rule->high - mean) / sd, rule->sure);
}

unsigned dry_rule_fails(const struct dry_rule *rule, const struct dry_run *run, size_t n, double spread)
{
	unsigned fails = dry_rule_plain_fails(rule, run, n);

	if (rule->share > 0 && !(fails & DRY_UNREAD) && !(dry_rule_assures(rule, run, n, spread) >= rule->share))
		fails |= DRY_UNSURE;
	return fails;
}

bool dry_rule_rushed(const struct dry_rule *rule, const struct dry_run *run, size_t n, unsigned fails)
{
	if (fails != DRY_TOO_FEW)
		return false;
	for (size_t i = 0; i < n; i++)
		if (run[i].taken < rule->readings)
			return false;
	return true;
}

size_t dry_rule_probes(const struct dry_rule *rule, double spread)
{
	int64_t n = rule->share > 0 ? tolerance_pieces(rule->share, rule->sure, (rule->high - rule->low) / 2 / fmax(spread, SD_LEAST)) : 0;

	return n < 0 ? SIZE_MAX : (size_t)n;
}

/* ---- by the readings that there are */

/* The next moment at which something was read. */
static double next_day(const struct dry_charge *charge, const size_t *next)
{
	double day = HUGE_VAL;

	for (size_t p = 0; p < charge->nprobes; p++)
		if (charge->probe[p].ruled && next[p] < charge->probe[p].n)
			day = fmin(day, charge->probe[p].reading[next[p]].day);
	return day;
}

/* Takes what was read then; gathers the runs of the probes that are in. */
static size_t replay_day(const struct dry_charge *charge, const struct dry_rule *rule, double day, struct dry_run *run, size_t *next, struct dry_run *in)
{
	size_t n = 0;

	for (size_t p = 0; p < charge->nprobes; p++) {
		const struct dry_probe *probe = &charge->probe[p];

		if (!probe->ruled)
			continue;
		for (; next[p] < probe->n && probe->reading[next[p]].day <= day; next[p]++)
			dry_run_take(&run[p], rule, probe->reading[next[p]].day, probe->reading[next[p]].mc, probe->reading[next[p]].mark);
		if (probe->from <= day && probe->until >= day)
			in[n++] = run[p];
	}
	return n;
}

double dry_ready_day(const struct dry_charge *charge, const struct dry_rule *rule)
{
	struct dry_run *run = mem_zeroed(charge->nprobes, sizeof *run), *in = mem_array(charge->nprobes, sizeof *in);
	size_t *next = mem_zeroed(charge->nprobes, sizeof *next);
	double day, ready = HUGE_VAL;

	while (ready == HUGE_VAL && (day = next_day(charge, next)) < HUGE_VAL) {
		size_t n = replay_day(charge, rule, day, run, next, in);

		if (!dry_rule_fails(rule, in, n, 0))
			ready = day;
	}
	free(run);
	free(in);
	free(next);
	return ready;
}
