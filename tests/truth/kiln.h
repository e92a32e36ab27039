/*
 * kiln.h - a works whose charges dry by a richer law than the one that is fitted to them.
 *
 * A piece is a plate that loses water through both faces by diffusion: ten layers from the middle to
 * the face, a diffusivity that rises with moisture and temperature, a resistance at the face, a
 * moist core at the start. Pieces differ in all of these, charges and works too. Pins sit at a depth
 * of their own; each piece reads a little off, readings have noise, and some are far off. The kiln's
 * air wanders about its set points, which are led by the mean of the probes with the operator's
 * delays; what is measured of it has an instrument that reads off. The wood settles at another
 * moisture than the handbook's by the works' own amount.
 *
 * Or, another law, so that what holds does not hold of one law alone: Page's (1949; met with all over
 * the drying of grain and wood), by which what is left of the way to the air's moisture goes down as
 * exp(-k t^n), with an n below 1 of each piece's own.
 *
 * None of it is the model of model.h. Include it once, in the program's only file.
 */
#ifndef WITHY_TRUTH_KILN_H
#define WITHY_TRUTH_KILN_H

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "dry/observed.h"
#include "dry/readiness.h"
#include "wood/climate.h"

enum { LAYERS = 10, PROBES = 4, PIECES = 60, DAYS = 90, STEPS = 10, STAGES = 5, HAND_DAY = 4, OVEN_DAY = 12, BESIDE = 12, OVEN = 2 };

enum law { DIFFUSION, PAGE, LAWS };

/* BESIDE: pockets, but none that a probe is in. TESTED: twelve pieces are read by hand on day 4, and two go to the oven on day 12. */
enum trouble { NO_TROUBLE, TESTED, KILN_OFF, DEAD_PROBE, WET_POCKETS, POCKETS_BESIDE, POCKETS_BESIDE_TESTED, METER_HIGH, METER_HIGH_TESTED, TROUBLES };

/* ---- draws: xorshift64* (Vigna, 2016) seeded by splitmix64 */

struct chance {
	uint64_t s;
};

static inline double chance_share(struct chance *c)
{
	c->s ^= c->s >> 12;
	c->s ^= c->s << 25;
	c->s ^= c->s >> 27;
	return ((double)((c->s * UINT64_C(2685821657736338717)) >> 11) + 0.5) / 9007199254740992.0;
}

static inline double chance_normal(struct chance *c)
{
	double r = sqrt(-2 * log(chance_share(c)));

	return r * cos(2 * acos(-1) * chance_share(c));
}

static inline struct chance chance_of(uint64_t seed)
{
	uint64_t z = seed * UINT64_C(0x9e3779b97f4a7c15) + UINT64_C(0x632be59bd9b4e019);

	z = (z ^ (z >> 30)) * UINT64_C(0xbf58476d1ce4e5b9);
	z = (z ^ (z >> 27)) * UINT64_C(0x94d049bb133111eb);
	return (struct chance){ (z ^ (z >> 31)) | 1 };
}

/* ---- a works */

struct works {
	enum law law;
	double rate, settles;       /* diffusivity over squared half-thickness, 1/day; its own EMC off the handbook's */
	double by_mc, by_temp;      /* how the diffusivity goes with moisture and temperature */
	double hygrometer;          /* % that it reads high */
	double stage[STAGES];       /* mean moisture at which each begins */
	double temp_c[STAGES], rh_pct[STAGES];
};

static inline struct works works_of(enum law law, struct chance *c)
{
	static const double stage[STAGES] = { 99, 21.5, 17.5, 14, 11.7 }, temp[STAGES] = { 24, 28, 30, 33, 33 }, rh[STAGES] = { 80, 72, 61, 50, 0 };
	struct works w = { 0 };

	w.law = law;
	w.rate = (law == PAGE ? 0.15 : 0.075) * exp(0.2 * chance_normal(c));
	w.settles = 0.4 + 0.4 * chance_normal(c);
	w.by_mc = 0.03 + 0.01 * chance_normal(c);
	w.by_temp = 0.03 + 0.007 * chance_normal(c);
	w.hygrometer = 1.5 * chance_normal(c);
	for (int i = 0; i < STAGES; i++) {
		w.stage[i] = stage[i] + 0.5 * chance_normal(c);
		w.temp_c[i] = temp[i] + chance_normal(c);
		w.rh_pct[i] = rh[i] + 1.5 * chance_normal(c);
	}
	w.stage[0] = 99;
	w.rh_pct[4] = rh_for_emc_pct(w.temp_c[4], 8.2 - w.settles + 0.15 * chance_normal(c));
	return w;
}

/* ---- a piece */

struct piece {
	double mc[LAYERS];           /* from the middle to the face */
	double rate, face, settles;
	double depth;                /* of the pins, in layers from the middle */
	double reads;                /* points it reads high */
	double page, days;           /* Page's n, and for how long it has dried */
};

static inline void piece_init(struct piece *p, const struct works *w, double charge_rate, double start, int small, struct chance *c)
{
	double mean = start + 1.8 * chance_normal(c), arch = (mean - 14) * (0.35 + 0.1 * chance_normal(c));

	p->rate = w->rate * charge_rate * exp(0.12 * chance_normal(c) + (small ? 0.12 : 0));
	p->face = 8 * exp(0.3 * chance_normal(c));
	p->settles = w->settles + 0.2 * chance_normal(c);
	p->depth = 4.5 + 0.8 * chance_normal(c);
	p->reads = 0.2 * chance_normal(c);
	p->page = 0.87 + 0.03 * chance_normal(c);
	p->days = 0;
	for (int i = 0; i < LAYERS; i++) {
		double x = (i + 0.5) / LAYERS;

		p->mc[i] = mean + arch * (1.0 / 3 - x * x);
	}
}

static inline void piece_page(struct piece *p, const struct works *w, double days, double temp_c, double me_pct)
{
	double k = p->rate * exp(w->by_temp * (temp_c - 30)), way = pow(p->days + days, p->page) - pow(p->days, p->page);

	p->days += days;
	for (int i = 0; i < LAYERS; i++)
		p->mc[i] -= (1 - exp(-k * way)) * (p->mc[i] - me_pct - p->settles);
}

/* One implicit step of `days`: water goes from layer to layer, and from the outermost to the air. */
static inline void piece_step(struct piece *p, const struct works *w, double days, double temp_c, double me_pct)
{
	double a[LAYERS] = { 0 }, b[LAYERS], c[LAYERS] = { 0 }, flow, scale = p->rate * exp(w->by_temp * (temp_c - 30)) * LAYERS * LAYERS * days;

	if (w->law == PAGE) {
		piece_page(p, w, days, temp_c, me_pct);
		return;
	}
	for (int i = 0; i < LAYERS; i++)
		b[i] = 1;
	for (int i = 0; i + 1 < LAYERS; i++) {
		flow = scale * exp(w->by_mc * (0.5 * (p->mc[i] + p->mc[i + 1]) - 15));
		c[i] = a[i + 1] = -flow;
		b[i] += flow;
		b[i + 1] += flow;
	}
	flow = scale / (0.5 + LAYERS / p->face);
	b[LAYERS - 1] += flow;
	p->mc[LAYERS - 1] += flow * (me_pct + p->settles);
	for (int i = 1; i < LAYERS; i++) {
		b[i] -= a[i] / b[i - 1] * c[i - 1];
		p->mc[i] -= a[i] / b[i - 1] * p->mc[i - 1];
	}
	p->mc[LAYERS - 1] /= b[LAYERS - 1];
	for (int i = LAYERS - 2; i >= 0; i--)
		p->mc[i] = (p->mc[i] - c[i] * p->mc[i + 1]) / b[i];
}

static inline double piece_mean(const struct piece *p)
{
	double sum = 0;

	for (int i = 0; i < LAYERS; i++)
		sum += p->mc[i] / LAYERS;
	return sum;
}

/* What a meter shows, to a tenth, corrected for the temperature of the wood as far as that was known. */
static inline double piece_read(const struct piece *p, struct chance *c, double *far)
{
	double depth = fmin(fmax(p->depth, 0), LAYERS - 1.001), warm = 0.09 * 15 * chance_share(c), mc;
	int i = (int)depth;

	mc = p->mc[i] + (depth - i) * (p->mc[i + 1] - p->mc[i]) + p->reads;
	mc += 0.2 * chance_normal(c) + 0.09 * chance_normal(c);
	*far = chance_share(c) < 0.01 ? chance_normal(c) : 0;
	mc += *far;
	return round((mc + warm) * 10) / 10 - warm;
}

/* ---- a charge */

struct charge {
	struct dry_charge is;       /* what is known of it; points into what follows */
	struct dry_probe probe[PROBES + BESIDE + OVEN];
	struct dry_reading reading[PROBES][DAYS + 1], beside[BESIDE + OVEN];
	double far[PROBES][DAYS + 1]; /* what the readings that were far off were off by */
	struct dry_air air[2 * DAYS + 2];
	double mean[DAYS + 1];      /* of all its pieces, truly, each day */
	double share[DAYS + 1];     /* of its pieces in the band, truly */
};

struct kiln {
	double temp_c, rh_pct, wander;
	int stage, delay;
};

/* The operator leads by the mean of the day's readings, and comes to it in a day or two. */
static inline void kiln_lead(struct kiln *k, const struct works *w, double mean, struct chance *c)
{
	if (k->stage + 1 >= STAGES || mean > w->stage[k->stage + 1])
		return;
	if (k->delay-- > 0)
		return;
	k->stage++;
	k->delay = (int)(3 * chance_share(c));
}

static inline void kiln_air(struct kiln *k, const struct works *w, int off, struct chance *c)
{
	k->wander = 0.9 * k->wander + 0.6 * chance_normal(c);
	k->temp_c = off ? fmax(k->temp_c - 1, 16) : w->temp_c[k->stage];
	k->rh_pct = off ? fmin(k->rh_pct + 2, 84) : fmin(w->rh_pct[k->stage] + k->wander, 95);
}

static inline void charge_measure(struct charge *ch, const struct kiln *k, const struct works *w, double high, double day, struct chance *c)
{
	double temp = k->temp_c + 0.3 * chance_normal(c), rh = k->rh_pct + w->hygrometer + high + chance_normal(c);

	ch->air[ch->is.nair++] = (struct dry_air){ day, temp, emc_pct(temp, fmin(fmax(rh, 5), 98)), false };
}

static inline void charge_read(struct charge *ch, struct piece *piece, int day, enum trouble trouble, struct chance *c)
{
	for (int p = 0; p < PROBES; p++) {
		double mc = piece_read(&piece[p], c, &ch->far[p][day]);

		if (trouble == DEAD_PROBE && p == 3 && day > 6)
			mc = ch->reading[p][6].mc;
		if (trouble == METER_HIGH || trouble == METER_HIGH_TESTED)
			mc += 2;
		ch->reading[p][ch->probe[p].n++] = (struct dry_reading){ day, mc, DRY_AT, mc > 28 ? 2 : 1, mc };
	}
}

/* Pieces at random: read by hand, or dried in the oven. */
static inline void charge_test(struct charge *ch, const struct piece *piece, int day, enum trouble trouble, struct chance *c)
{
	int from = day == HAND_DAY ? 0 : BESIDE, to = day == HAND_DAY ? BESIDE : BESIDE + OVEN;

	for (int i = from; i < to; i++) {
		const struct piece *p = &piece[PROBES + (int)(chance_share(c) * (PIECES - PROBES))];
		double far, mc = i < BESIDE ? piece_read(p, c, &far) + (trouble == METER_HIGH_TESTED ? 2 : 0) : 0;

		for (int k = 0; i >= BESIDE && k < LAYERS; k++)
			mc += p->mc[k] / LAYERS;
		ch->beside[i] = (struct dry_reading){ day, mc, DRY_AT, 1.5, mc };
		ch->probe[PROBES + i] = (struct dry_probe){ .reading = &ch->beside[i], .n = 1, .until = INFINITY, .scaled = i >= BESIDE };
	}
	ch->is.nprobes = PROBES + (size_t)to;
}

static inline void charge_truth(struct charge *ch, const struct piece *piece, int day, const struct dry_rule *rule)
{
	for (int i = 0; i < PIECES; i++) {
		double mc = piece_mean(&piece[i]);

		ch->mean[day] += mc / PIECES;
		ch->share[day] += (mc >= rule->low && mc <= rule->high) / (double)PIECES;
	}
}

static inline void charge_init(struct charge *ch, struct piece *piece, const struct works *w, enum trouble trouble, struct chance *c)
{
	double rate = exp(0.08 * chance_normal(c)), start = fmin(fmax(22 + 2.5 * chance_normal(c), 17), 28);

	memset(ch, 0, sizeof *ch);
	ch->is = (struct dry_charge){ .probe = ch->probe, .nprobes = PROBES, .air = ch->air, .kiln = 1, .end = INFINITY };
	for (int i = 0; i < PIECES; i++) {
		int small = i % 4 == 1;

		piece_init(&piece[i], w, rate, start, small, c);
		if (i % 4 == 2 && (trouble == WET_POCKETS || (i >= PROBES && (trouble == POCKETS_BESIDE || trouble == POCKETS_BESIDE_TESTED))))
			for (int k = 0; k < LAYERS; k++)
				piece[i].mc[k] += 9;
		if (i < PROBES)
			ch->probe[i] = (struct dry_probe){ .reading = ch->reading[i], .type = small ? 2 : 1, .until = INFINITY, .ruled = true };
	}
}

/*
 * Dries one charge for DAYS days, reading every probe every day and the air twice a day. `all`: all its
 * pieces, to know how they truly are; else those with probes alone.
 */
static inline void charge_dry(struct charge *ch, const struct works *w, const struct dry_rule *rule, enum trouble trouble, int all, struct chance *c)
{
	struct piece piece[PIECES];
	struct kiln k = { 0 };
	double high = 0.7 * chance_normal(c), shift = 0.2 * chance_normal(c), mean = 0;
	int pieces = all ? PIECES : PROBES;

	charge_init(ch, piece, w, trouble, c);
	k.temp_c = w->temp_c[0];
	for (int day = 0; day <= DAYS; day++) {
		charge_read(ch, piece, day, trouble, c);
		if ((day == HAND_DAY || day == OVEN_DAY) && all && (trouble == TESTED || trouble == METER_HIGH_TESTED || trouble == POCKETS_BESIDE_TESTED))
			charge_test(ch, piece, day, trouble, c);
		if (all)
			charge_truth(ch, piece, day, rule);
		mean = 0;
		for (int p = 0; p < PROBES; p++)
			mean += ch->reading[p][day].mc / PROBES;
		kiln_lead(&k, w, mean, c);
		for (int s = 0; s < STEPS; s++) {
			kiln_air(&k, w, trouble == KILN_OFF && (day == 8 || day == 9), c);
			if (s % (STEPS / 2) == 0 && day < DAYS)
				charge_measure(ch, &k, w, high, day + (double)s / STEPS, c);
			for (int i = 0; i < pieces; i++)
				piece_step(&piece[i], w, 1.0 / STEPS, k.temp_c, emc_pct(k.temp_c, k.rh_pct) + shift);
		}
	}
}

#endif
