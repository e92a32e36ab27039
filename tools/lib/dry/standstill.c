#include "dry/standstill.h"

#include <math.h>
#include <stddef.h>

#include "dry/law.h"
#include "dry/readiness.h"
#include "math/distributions.h"

static const double DAYS_LEAST = 10;
static const double DAYS_MOST = 20;
static const double DAYS_STEP = 2;
static const double DAYS_SLACK = 1;          /* readings are not daily: the first may be so much later */
static const double MOVES_MOST = 0.8;        /* points in DAYS_LEAST that cannot be excluded: what dries on faster is not flat */
static const double MOVES_LIKELY = 0.3;      /* and by the line */
static const double FALSE_MOST = 0.05;       /* of charges, */
static const double ROUNDS = 20;             /* in so many rounds of readings */

/* Points: the mean EMC of the last days may be no further towards the band than that from the mean of all. */
static const double AIR_MOST = 0.5;
static const double AIR_DAYS = 2;

/* Below two readings of a probe there is no line. */
enum { READINGS_LEAST = 2 };

/* The readings of one probe in a span. */
static size_t in_span(const struct dry_probe *probe, double from, double to, const struct dry_reading **first)
{
	size_t n = dry_read_by(probe, to), before = 0;

	while (before < n && probe->reading[before].day < from)
		before++;
	*first = probe->reading + before;
	return n - before;
}

/* Sums of a line whose slope all probes share, each with a height of its own. */
struct sums {
	double tt, tm, mm, level;
	double first, last;        /* days */
	size_t n, probes;          /* readings; probes */
};

static void add_probe(struct sums *s, const struct dry_reading *r, size_t n)
{
	double t = 0, m = 0;

	for (size_t i = 0; i < n; i++) {
		t += r[i].day / (double)n;
		m += r[i].mc / (double)n;
	}
	for (size_t i = 0; i < n; i++) {
		s->tt += (r[i].day - t) * (r[i].day - t);
		s->tm += (r[i].day - t) * (r[i].mc - m);
		s->mm += (r[i].mc - m) * (r[i].mc - m);
	}
	s->level += m;
	s->first = fmin(s->first, r[0].day);
	s->last = fmax(s->last, r[n - 1].day);
	s->n += n;
	s->probes++;
}

/* One that is off the scale leaves open where the wood is. */
static bool is_on_scale(const struct dry_reading *r, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (r[i].mark != DRY_AT)
			return false;
	return true;
}

static struct sums sums_of(const struct dry_charge *charge, double from, double to)
{
	struct sums s = { .first = HUGE_VAL, .last = -HUGE_VAL };

	for (size_t p = 0; p < charge->nprobes; p++) {
		const struct dry_reading *r;
		size_t n = in_span(&charge->probe[p], from, to, &r);

		if (dry_probe_counts(&charge->probe[p], to) && n >= READINGS_LEAST && is_on_scale(r, n))
			add_probe(&s, r, n);
	}
	s.level /= (double)s.probes;
	return s;
}

/* The pace that the readings leave possible beside that of the line, in points a day; infinite where they say nothing. */
static double pace_unsure(const struct sums *s)
{
	double freedom = (double)s->n - (double)s->probes - 1, left = s->mm - s->tm * s->tm / s->tt;

	if (freedom < 1 || !(s->tt > 0))
		return HUGE_VAL;
	return dist_t_q(1 - FALSE_MOST / ROUNDS, freedom) * sqrt(fmax(left, 0) / freedom / s->tt);
}

/* Whether the air has lately moved so that the wood may follow it towards the band. */
static bool air_helps(const struct dry_charge *charge, double from, double to, double towards)
{
	struct dry_grid grid = { 0 };
	double all = 0, late = 0;
	size_t first = (size_t)(from / DRY_STEP), recent = dry_step_of(&charge->still, fmax(to - AIR_DAYS, from)), n = 0, nlate = 0;

	dry_grid_set(&grid, charge, to, to);
	for (size_t i = first; i < grid.n; i++) {
		all += grid.me_pct[i];
		n++;
		if (i >= recent) {
			late += grid.me_pct[i];
			nlate++;
		}
	}
	dry_grid_release(&grid);
	return n && nlate && towards * (late / (double)nlate - all / (double)n) > AIR_MOST;
}

static double last_read(const struct dry_charge *charge, double now)
{
	double last = -HUGE_VAL;

	for (size_t p = 0; p < charge->nprobes; p++) {
		size_t n = dry_read_by(&charge->probe[p], now);

		if (n && dry_probe_counts(&charge->probe[p], now))
			last = fmax(last, charge->probe[p].reading[n - 1].day);
	}
	return last;
}

bool dry_is_flat(const struct dry_charge *charge, const struct dry_rule *rule, double now, struct dry_flat *flat)
{
	double last = last_read(charge, now);

	for (double back = DAYS_LEAST; back <= DAYS_MOST && back <= last; back += DAYS_STEP) {
		struct sums s = sums_of(charge, last - back, now);
		double gap = fmax(s.level - rule->high, rule->low - s.level), towards = s.level > rule->high ? -1 : 1;
		double pace = towards * s.tm / s.tt, most = pace + pace_unsure(&s);

		if (!s.probes || !(gap > 0) || s.last - s.first < DAYS_LEAST - DAYS_SLACK)
			continue;
		if (!(pace * DAYS_LEAST < gap) || !(fabs(pace) * DAYS_LEAST < MOVES_LIKELY) || !(most * DAYS_LEAST <= MOVES_MOST) || air_helps(charge, s.first, now, towards))
			continue;
		*flat = (struct dry_flat){ s.level, s.last - s.first, fmax(most, 0) * (s.last - s.first) };
		return true;
	}
	return false;
}
