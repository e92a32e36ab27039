#include "dry/doubts.h"

#include <math.h>
#include <stdlib.h>

#include "dry/charges.h"
#include "dry/model.h"

/* Points: readings are written in tenths, and what is no further out is not said to be out. */
static const double OUT_LEAST = 0.1;

#define HOURS_A_DAY 24.0

struct doubter {
	const struct dry_charge *charge;
	const struct dry_place *place;
	const struct dry_fit *fit;
	const struct dry_rule *rule;
	struct dry_run *run;       /* of each probe, by now */
	struct dry_warning *warning;
	size_t n, cap;
};

static void doubt(struct doubter *d, enum dry_sign sign, size_t probe, double value, double days, double limit)
{
	if (d->n < d->cap)
		d->warning[d->n++] = (struct dry_warning){ sign, probe, value, days, limit };
}

static bool is_in(const struct doubter *d, size_t p)
{
	return dry_probe_counts(&d->charge->probe[p], d->fit->now);
}

/* ---- what came after the readings */

/* What a probe would read now: its last reading, and what the curve did since. */
static double present(const struct doubter *d, size_t p)
{
	double day[2] = { d->run[p].last_day, d->fit->now }, mc[2];

	dry_curve(d->charge, d->fit, p, day, 2, mc);
	return d->run[p].last + mc[1] - mc[0];
}

/* How far out of the band that is; below 0 inside. */
static double points_out(const struct dry_rule *rule, double mc)
{
	return fmax(mc - rule->high, rule->low - mc);
}

static void look_at_now(struct doubter *d)
{
	double worst = OUT_LEAST, value = NAN;
	size_t probe = SIZE_MAX, many = 0;

	for (size_t p = 0; p < d->charge->nprobes; p++) {
		double now, out;

		if (!is_in(d, p) || !d->run[p].taken)
			continue;
		now = present(d, p);
		out = points_out(d->rule, now);
		many += out > OUT_LEAST;
		if (out > worst) {
			worst = out;
			value = now;
			probe = p;
		}
	}
	if (many)
		doubt(d, DRY_LEFT_BAND, probe, value, d->run[probe].last_day, (double)many);
}

/* ---- probes that came out */

/* Whether the label of a probe was put in, or read, again later. */
static bool is_followed(const struct doubter *d, size_t p)
{
	for (size_t k = p + 1; k < d->charge->nprobes; k++)
		if (d->charge->probe[k].ruled && slice_eq(d->place[k].label, d->place[p].label))
			return true;
	return false;
}

/* The row of all readings of a label up to a probe of it. */
static struct dry_run run_of_label(const struct doubter *d, size_t last)
{
	struct dry_run run = { 0 };

	for (size_t p = 0; p <= last; p++) {
		const struct dry_probe *probe = &d->charge->probe[p];

		if (!probe->ruled || !slice_eq(d->place[p].label, d->place[last].label))
			continue;
		for (size_t i = 0; i < probe->n && probe->reading[i].day <= d->fit->now; i++)
			dry_run_take(&run, d->rule, probe->reading[i].day, probe->reading[i].mc, probe->reading[i].mark);
	}
	return run;
}

static void look_at_out(struct doubter *d, size_t p)
{
	const struct dry_probe *probe = &d->charge->probe[p];
	struct dry_run run;

	if (!probe->ruled || probe->until > d->fit->now || is_followed(d, p))
		return;
	run = run_of_label(d, p);
	if (run.read && (!run.in_band || run.in_band < d->rule->readings))
		doubt(d, DRY_OUT_WET, p, run.last, probe->until, run.in_band);
}

/* ---- how they were taken */

static void look_at_wood(struct doubter *d, size_t p)
{
	size_t n = dry_read_by(&d->charge->probe[p], d->fit->now), most = d->rule->readings > 1 ? (size_t)d->rule->readings : 1;

	if (!is_in(d, p))
		return;
	for (size_t i = n; i > 0 && n - i < most; i--)
		if (d->place[p].written[i - 1].lacks_wood) {
			doubt(d, DRY_NO_WOOD, p, NAN, d->charge->probe[p].reading[i - 1].day, NAN);
			return;
		}
}

static void look_at_time(struct doubter *d, size_t p)
{
	const struct dry_run *run = &d->run[p];

	if (is_in(d, p) && run->in_band < d->rule->readings)
		doubt(d, DRY_RUSHED, p, HOURS_A_DAY * (run->last_day - run->counted_day), run->last_day, HOURS_A_DAY * d->rule->apart);
}

static void look_at_each(struct doubter *d, void (*look)(struct doubter *, size_t))
{
	for (size_t p = 0; p < d->charge->nprobes; p++)
		look(d, p);
}

static bool is_rushed(const struct doubter *d, unsigned fails)
{
	struct dry_run *in = mem_array(d->charge->nprobes, sizeof *in);
	bool rushed;
	size_t n = 0;

	for (size_t p = 0; p < d->charge->nprobes; p++)
		if (is_in(d, p))
			in[n++] = d->run[p];
	rushed = dry_rule_rushed(d->rule, in, n, fails);
	free(in);
	return rushed;
}

size_t dry_doubt(const struct dry_charge *charge, const struct dry_place *place, const struct dry_fit *fit, const struct dry_rule *rule,
	unsigned fails, struct dry_warning *warning, size_t cap)
{
	struct doubter d = { .charge = charge, .place = place, .fit = fit, .rule = rule, .warning = warning, .cap = cap,
		.run = mem_array(charge->nprobes, sizeof *d.run) };
	bool rushed;

	for (size_t p = 0; p < charge->nprobes; p++)
		d.run[p] = dry_run_of(rule, &charge->probe[p], fit->now);
	rushed = is_rushed(&d, fails);
	if (rushed || !(fails & ~(unsigned)DRY_UNSURE))
		look_at_now(&d);
	look_at_each(&d, look_at_out);
	look_at_each(&d, look_at_wood);
	if (rushed)
		look_at_each(&d, look_at_time);
	free(d.run);
	return d.n;
}
