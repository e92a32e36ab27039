#include "dry/seen.h"

#include <math.h>
#include <limits.h>
#include <stdlib.h>

#include "dry/charges.h"

/* The parts of the rule that want time, and none of the wood. */
static const unsigned WANT_TIME = DRY_TOO_FEW | DRY_TOO_SHORT;

/* What a single reading can break. */
static const unsigned OF_ONE = DRY_TOO_WET | DRY_TOO_DRY | DRY_TOO_QUICK;

struct look {
	const struct charges *charges;
	const struct dry_case *c;
	double spread;
	double from, to;           /* days of the first and the last reading of the occasion, since loading */
	int day;
	struct dry_run *run;       /* of the probes that are in */
	size_t n;
	bool all, broken;          /* all of them were read then; one of those broke the rule by itself */
};

static int whole_day(const struct look *l, double day)
{
	int64_t utc_s = l->c->load_s + llround(day * DAY_S);

	return charges_day(l->charges, utc_s) - charges_day(l->charges, l->c->load_s);
}

/* The next day after the one looked at on which a probe was read; false for none. */
static bool next_occasion(struct look *l)
{
	const struct dry_charge *charge = &l->c->charge;
	double after = l->to;

	l->from = HUGE_VAL;
	for (size_t p = 0; p < charge->nprobes; p++)
		for (size_t i = 0; charge->probe[p].ruled && i < charge->probe[p].n; i++)
			if (charge->probe[p].reading[i].day > after)
				l->from = fmin(l->from, charge->probe[p].reading[i].day);
	if (!(l->from < HUGE_VAL))
		return false;
	l->to = l->from;
	l->day = whole_day(l, l->from);
	for (size_t p = 0; p < charge->nprobes; p++)
		for (size_t i = 0; charge->probe[p].ruled && i < charge->probe[p].n; i++)
			if (charge->probe[p].reading[i].day > l->to && whole_day(l, charge->probe[p].reading[i].day) == l->day)
				l->to = charge->probe[p].reading[i].day;
	return true;
}

/* A probe that is put in so many days before or after another one comes out takes its place. */
static const double SAME_TIME = 0.5;

static bool is_replaced(const struct dry_charge *charge, const struct dry_probe *out)
{
	for (size_t p = 0; p < charge->nprobes; p++)
		if (&charge->probe[p] != out && charge->probe[p].ruled && fabs(charge->probe[p].from - out->until) <= SAME_TIME)
			return true;
	return false;
}

/* Whether a probe came out before, at a reading that broke the rule, and none took its place. */
static bool lost_one(const struct look *l)
{
	const struct dry_charge *charge = &l->c->charge;

	for (size_t p = 0; p < charge->nprobes; p++) {
		const struct dry_probe *probe = &charge->probe[p];
		struct dry_run run;

		if (!probe->ruled || probe->until >= l->from || is_replaced(charge, probe))
			continue;
		run = dry_run_of(&l->charges->rule, probe, probe->until);
		if (run.read && dry_rule_plain_fails(&l->charges->rule, &run, 1) & OF_ONE)
			return true;
	}
	return false;
}

static unsigned fails_then(struct look *l)
{
	const struct dry_rule *rule = &l->charges->rule;
	const struct dry_charge *charge = &l->c->charge;

	l->n = 0;
	l->all = true;
	l->broken = false;
	for (size_t p = 0; p < charge->nprobes; p++) {
		const struct dry_probe *probe = &charge->probe[p];
		struct dry_run run;

		if (!probe->ruled || probe->from > l->to || probe->until < l->from)
			continue;
		run = dry_run_of(rule, probe, l->to);
		if (!run.read || run.last_day < l->from)
			l->all = false;
		else if (dry_rule_plain_fails(rule, &run, 1) & OF_ONE)
			l->broken = true;
		l->run[l->n++] = run;
	}
	return dry_rule_fails(rule, l->run, l->n, l->spread);
}

/* How many days daily readings take until the parts that want time hold. */
static int wait_of(const struct dry_rule *rule)
{
	double hold = rule->hold > 0 ? ceil(rule->hold) : 0;

	return (int)fmin(fmax(hold, rule->readings - 1), SHRT_MAX);
}

/* As it was read; `in` is the first of the days in the band that came before it held. */
static void look_through(struct look *l, struct dry_seen *seen, int *in)
{
	while (next_occasion(l)) {
		unsigned fails;

		if (lost_one(l)) {
			seen->how = DRY_SEEN_TAKEN_OUT;
			return;
		}
		fails = fails_then(l);
		if (l->n == 0)
			continue;
		if (seen->how == DRY_SEEN_UNREAD)
			seen->how = DRY_SEEN_EMPTIED;
		if (!(fails & ~WANT_TIME) && *in < 0)
			*in = l->day;
		if (!fails) {
			seen->how = DRY_SEEN_HELD;
			seen->holds = l->day;
			return;
		}
		if (fails & ~WANT_TIME && (l->broken || l->all)) {
			seen->not_yet = l->day;
			*in = -1;
		}
	}
}

static int least(int a, int b)
{
	return a < b ? a : b;
}

/* With daily readings. In a charge that was emptied they end with its own. */
static struct day_seen daily(const struct dry_seen *seen, int in, int wait, int last)
{
	if (seen->how == DRY_SEEN_HELD) {
		int by = least(seen->holds, in + wait);

		return (struct day_seen){ seen->not_yet < 0 ? -1 : least(seen->not_yet + wait, by - 1), by };
	}
	if (seen->how == DRY_SEEN_EMPTIED && seen->not_yet >= 0)
		return (struct day_seen){ least(seen->not_yet + wait, last), DAY_UNSEEN };
	return (struct day_seen){ seen->not_yet, DAY_UNSEEN };
}

struct dry_seen dry_seen_of(const struct charges *charges, const struct dry_case *c, double spread)
{
	struct look l = { .charges = charges, .c = c, .spread = spread, .to = -HUGE_VAL, .run = mem_array(c->charge.nprobes, sizeof *l.run) };
	struct dry_seen seen = { DRY_SEEN_UNREAD, { -1, DAY_UNSEEN }, -1, DAY_UNSEEN, 0 };
	int in = -1;

	look_through(&l, &seen, &in);
	seen.last = l.day;
	seen.day = daily(&seen, in, wait_of(&charges->rule), l.day);
	free(l.run);
	return seen;
}
