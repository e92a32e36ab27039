#include "dry/warnings.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "dry/prior.h"
#include "dry/rate.h"
#include "dry/readiness.h"
#include "dry/standstill.h"
#include "math/distributions.h"

/*
 * The thresholds. Those of stalls, of stuck probes, of pieces apart, of jumps, of where the wood rests and
 * of the oven were chosen on the simulated charges of tests/truth: stress.c asks how often a fault must be
 * found there, and in how many sound charges a doubt may be raised. No other reason is known for them.
 */

/* Stalls: the mean of the probes against what it would have lost had it dried on. */
static const double STALL_DAYS_LEAST = 2;    /* a pause is looked for over so many days, */
static const double STALL_DAYS_MOST = 6;     /* up to so many: "two to six days" in wy-dry(1) */
static const double STALL_DAYS_SLACK = 2;    /* readings are not daily: they may be so much further apart */
static const double STALL_PART = 0.6;        /* and less than this part of the usual loss was lost */
static const double RATE_UNSURE = 0.15;      /* sd of the loss of wood that dries on, as a part of the usual loss */
static const double PAUSE_LEFT = 0.2;        /* what wood in a kiln that stands still loses, as a part of the usual loss */
static const double PAUSE_UNSURE = 0.15;     /* and its sd */
static const double AIR_SD = 0.7;            /* points: how far the mean EMC of some days wanders in a kiln that runs */
static const double STALL_ROUNDS = 20;       /* of readings, before wood is near the band */
static const double AIR_ODDS_MOST = 6;       /* as a logarithm: the air may add no more than this to the odds */

/* Stuck probes: the same figure again and again while the others moved. */
enum { STUCK_READINGS = 4 };                 /* as wy-dry(1) says; */
static const double STUCK_DAYS = 3;          /* so does it of the days, */
static const double STUCK_OTHERS = 1;        /* and of the points that the others moved */
static const double STUCK_SAME = 0.01;       /* points: figures that are as near are the same */

/* Pieces apart from their fellows, in standard deviations. */
static const double WET_SDS = 2.6;           /* wetter, which is what pockets make */
static const double DRY_SDS = 3.2;           /* drier */
static const double RATE_SDS = 3;            /* in rate or rest, or wetter and slower together */
static const double SDS_PIECES = 4;          /* for so many pieces; more pieces are asked to be further apart */

/* One reading against its probe's curve. */
static const double JUMP_NOISES = 6;         /* so many times the scatter of readings */
static const double JUMP_LEAST = 1.2;        /* points: the least, where readings scatter little */

/* The spread of the probes, as wy-dry(1) says. */
static const double WIDENS_BY = 1.2;         /* points, */
static const double WIDENS_NOISES = 4.5;     /* and so many times the scatter of readings */
static const double WIDENS_DAYS = 5;

/* Where the wood comes to rest, against earlier charges. */
enum { RESTS_CHARGES = 3 };                  /* with fewer it is not looked at */
static const double RESTS_SDS = 2.5;
static const double RESTS_LEAST = 0.8;       /* points */

/* So many times the scatter of readings one is under the band before it is believed; of two in a row their mean. */
static const double FLOOR_NOISES = 2;

/* Equalizing is worth starting with the driest two points under the target (Wengert, kiln-drying extension notes). */
static const double EQUALIZE_UNDER = 2;

/* Pieces from the oven and by hand against the probes' mean of that day. */
static const double OVEN_MOST = 25;          /* %: wetter pieces are not compared */
static const double UNTRUE_SDS = 2.6;
static const double UNTRUE_LEAST = 0.7;      /* points */
static const double SAME_DAY = 0.5;          /* days: the probes may have been read so much later than the piece */

/* So many sound charges at the most get a warning of a kind that weighs odds or counts sds, over all its days. */
static const double FALSE_MOST = 0.05;

struct watch {
	const struct dry_charge *charge;
	const struct dry_prior *prior;
	const struct dry_fit *fit;
	const struct dry_rule *rule;
	const struct dry_limits *limits;
	struct dry_warning *warning;
	size_t n, cap;
	double now;
};

bool dry_sign_doubts(enum dry_sign sign)
{
	return sign == DRY_STUCK || sign == DRY_PARTS || sign == DRY_JUMPS || sign == DRY_UNDER_FLOOR || sign == DRY_RESTS_OFF ||
		sign >= DRY_LOST;
}

static void warn(struct watch *w, enum dry_sign sign, size_t probe, double value, double days, double limit)
{
	if (w->n < w->cap)
		w->warning[w->n++] = (struct dry_warning){ sign, probe, value, days, limit };
}

static bool watched(const struct watch *w, size_t p)
{
	return dry_probe_counts(&w->charge->probe[p], w->now);
}

/* The reading of a probe last before a day, or NULL. */
static const struct dry_reading *reading_at(const struct dry_probe *probe, double day)
{
	size_t n = dry_read_by(probe, day);

	return n ? &probe->reading[n - 1] : NULL;
}

/* Mean, wettest and driest of the probes at a day; how many were read. The mean is over those that are in still. */
struct summary {
	double mean, wettest, driest, oldest;
	size_t n, wet, dry;
};

static struct summary summary_at(const struct watch *w, double day)
{
	struct summary s = { 0, -HUGE_VAL, HUGE_VAL, HUGE_VAL, 0, 0, 0 };

	for (size_t p = 0; p < w->charge->nprobes; p++) {
		const struct dry_reading *r = reading_at(&w->charge->probe[p], day);

		if (!watched(w, p) || !r)
			continue;
		s.mean += r->mc;
		s.n++;
		s.oldest = fmin(s.oldest, r->day);
		if (r->mc > s.wettest) {
			s.wettest = r->mc;
			s.wet = p;
		}
		if (r->mc < s.driest) {
			s.driest = r->mc;
			s.dry = p;
		}
	}
	s.mean = s.n ? s.mean / (double)s.n : NAN;
	return s;
}

/*
 * A limit in standard deviations for one of `n` pieces: for more than SDS_PIECES of them it is raised, so that as few
 * sound charges of many pieces are told of as of few (Bonferroni).
 */
static double limit_for(double sds, size_t n)
{
	double tail = 0.5 * erfc(sds / sqrt(2));

	return (double)n > SDS_PIECES ? -dist_normal_q(tail * SDS_PIECES / (double)n) : sds;
}

/* ---- of the whole charge */

/*
 * Until when the air is taken as it was: to the first day of a comparison, or to the first on which it was known at all,
 * for a guess at the air is nothing that a kiln could have kept.
 */
static double air_known(const struct watch *w, double from)
{
	for (size_t i = 0; i < w->charge->nair; i++)
		if (!w->charge->air[i].guessed)
			return fmax(from, w->charge->air[i].day);
	return from;
}

/* What the mean of the probes would have lost between two days, had the air stayed as it was on the first. */
static double usual_loss(const struct watch *w, double from, double to)
{
	struct dry_grid grid = { 0 };
	double loss = 0, *path;
	size_t n = 0;

	dry_grid_set(&grid, w->charge, air_known(w, from), to);
	dry_grid_drift(&grid, w->fit->knot, w->fit->value + DRY_DRIFT);
	path = mem_array(grid.n + 1, sizeof *path);
	for (size_t p = 0; p < w->charge->nprobes; p++) {
		struct dry_piece piece = dry_piece_of(w->fit->value, p);

		if (!watched(w, p) || !reading_at(&w->charge->probe[p], to))
			continue;
		dry_path(&grid, &piece, grid.n, path);
		loss += dry_path_at(path, grid.n, from) - dry_path_at(path, grid.n, to);
		n++;
	}
	free(path);
	dry_grid_release(&grid);
	return loss / (double)n;
}

/*
 * How much likelier what the mean lost is if the wood all but stood still than if it dried on, as a
 * logarithm; readings have their noise, and the rate is not sure.
 */
static double pause_odds(const struct watch *w, size_t n, double lost, double usual)
{
	double noise = w->prior->scatter * w->prior->scatter * 2 / (double)n;
	double on = noise + pow(RATE_UNSURE * usual, 2), still = noise + pow(PAUSE_UNSURE * usual, 2);

	return 0.5 * ((lost - usual) * (lost - usual) / on - pow(lost - PAUSE_LEFT * usual, 2) / still + log(on / still));
}

/* What its air says: that of a kiln that stands still grows moist and cold, and rises towards what the wood gives off. */
static double air_odds(const struct watch *w, double from, double to)
{
	struct dry_grid was = { 0 }, is = { 0 };
	double rise = 0, odds;
	size_t n = 0;

	dry_grid_set(&was, w->charge, air_known(w, from), to);
	dry_grid_set(&is, w->charge, to, to);
	for (size_t i = (size_t)(from / DRY_STEP); i < is.n; i++, n++)
		rise += is.me_pct[i] - was.me_pct[i];
	odds = n && rise > 0 ? 0.5 * pow(rise / (double)n / AIR_SD, 2) : 0;
	dry_grid_release(&was);
	dry_grid_release(&is);
	return fmin(odds, AIR_ODDS_MOST);
}

/*
 * A pause is looked for over several spans after each round of readings. The odds of the spans are averaged: where
 * the wood dries on, their mean is 1, so that it comes to 1/a with a chance of a at the most (Markov). Each of
 * STALL_ROUNDS rounds may spend its part of FALSE_MOST (Bonferroni).
 */
static double odds_needed(void)
{
	return STALL_ROUNDS / FALSE_MOST;
}

/* The odds for a pause from the readings of one span to the latest ones; 0 where it is no such span. */
static double span_odds(const struct watch *w, const struct summary *now, double back, struct dry_warning *pause)
{
	struct summary then = summary_at(w, now->oldest - back);
	double days = now->oldest - then.oldest, lost = then.mean - now->mean, usual;

	if (then.n < now->n || !(days >= STALL_DAYS_LEAST && days <= STALL_DAYS_MOST + STALL_DAYS_SLACK))
		return 0;
	usual = usual_loss(w, then.oldest, now->oldest);
	if (!(lost < STALL_PART * usual))
		return 0;
	*pause = (struct dry_warning){ DRY_STALLS, SIZE_MAX, lost, days, usual };
	return exp(pause_odds(w, now->n, lost, usual) + air_odds(w, then.oldest, now->oldest));
}

static void watch_stall(struct watch *w)
{
	struct summary now = summary_at(w, w->now);
	struct dry_warning best = { 0 };
	double sum = 0, most = 0;
	int spans = 0;

	if (now.n == 0 || now.mean <= w->rule->high)
		return;
	for (double back = STALL_DAYS_LEAST; back <= STALL_DAYS_MOST; back++, spans++) {
		struct dry_warning pause = { 0 };
		double odds = span_odds(w, &now, back, &pause);

		sum += odds;
		if (odds > most) {
			most = odds;
			best = pause;
		}
	}
	if (sum / spans > odds_needed())
		warn(w, best.sign, best.probe, best.value, best.days, best.limit);
}

static void watch_flat(struct watch *w)
{
	struct dry_flat flat;

	if (dry_is_flat(w->charge, w->rule, w->now, &flat))
		warn(w, DRY_SETTLES, SIZE_MAX, flat.level, flat.days, flat.moves);
}

static void watch_spread(struct watch *w)
{
	struct summary now = summary_at(w, w->now), then = summary_at(w, now.oldest - WIDENS_DAYS);
	double grown = (now.wettest - now.driest) - (then.wettest - then.driest);

	if (then.n == now.n && now.n > 1 && grown > fmax(WIDENS_BY, WIDENS_NOISES * w->prior->scatter))
		warn(w, DRY_WIDENS, now.wet, grown, now.oldest - then.oldest, now.wettest - now.driest);
}

static void watch_equalize(struct watch *w)
{
	struct summary now = summary_at(w, w->now);

	if (now.n > 1 && now.driest <= w->limits->target - EQUALIZE_UNDER && now.wettest > w->rule->high)
		warn(w, DRY_EQUALIZE, now.dry, now.driest, w->now, w->limits->target - EQUALIZE_UNDER);
}

static void watch_rest(struct watch *w)
{
	double of_kiln, usual = w->prior->covariance[DRY_OFFSET * DRY_LEARNED + DRY_OFFSET];
	double off = dry_offset_now(w->fit) - w->prior->mean[DRY_OFFSET] - dry_group_shift(&w->prior->offset, w->charge->kiln, DRY_UNKNOWN_OFFSET, &of_kiln);

	usual = sqrt(usual + of_kiln);
	if (w->prior->ncharges >= RESTS_CHARGES && fabs(off) > RESTS_SDS * usual && fabs(off) > RESTS_LEAST)
		warn(w, DRY_RESTS_OFF, SIZE_MAX, off, w->now, usual);
}

/* ---- pieces beside the probes */

/* What a piece that is no probe's was found to be on its one day, or NULL. */
static const struct dry_reading *found_once(const struct watch *w, size_t p, bool scaled)
{
	const struct dry_probe *probe = &w->charge->probe[p];

	if (probe->ruled || probe->scaled != scaled || probe->n != 1 || probe->reading[0].day > w->now || probe->reading[0].mark != DRY_AT)
		return NULL;
	return &probe->reading[0];
}

/* Pieces from the oven against the probes' mean of that day: by no more than the pieces that happened to be taken make likely. */
static void watch_oven(struct watch *w)
{
	double sum = 0, last = 0, variance = 0, n = 0, probes = 0, off;

	for (size_t p = 0; p < w->charge->nprobes; p++) {
		const struct dry_reading *r = found_once(w, p, true);
		struct summary then = summary_at(w, r ? r->day + SAME_DAY : 0);

		if (!r || !then.n || r->mc > OVEN_MOST)
			continue;
		sum += then.mean - r->mc;
		variance += pow(dry_spread(w->charge, w->prior, w->fit, r->day), 2);
		probes = (double)then.n;
		last = fmax(last, r->day);
		n++;
	}
	off = fabs(sum / n);
	if (n > 0 && off > UNTRUE_LEAST && off > UNTRUE_SDS * sqrt((variance / n + w->prior->scatter * w->prior->scatter) * (1 / n + 1 / probes)))
		warn(w, DRY_UNTRUE, SIZE_MAX, sum / n, last, n);
}

/* A piece read by hand against the probes' mean of that day. */
static void watch_hand(struct watch *w, size_t p)
{
	const struct dry_reading *r = found_once(w, p, false);
	struct summary then = summary_at(w, r ? r->day + SAME_DAY : 0);
	double sd, off;
	size_t n = 0;

	if (!r || !then.n)
		return;
	for (size_t k = 0; k < w->charge->nprobes; k++)
		n += found_once(w, k, false) != NULL;
	sd = sqrt(pow(dry_spread(w->charge, w->prior, w->fit, r->day), 2) + w->prior->scatter * w->prior->scatter);
	off = (r->mc - then.mean) / (sd * sqrt(1 + 1 / (double)then.n));
	if (off > limit_for(WET_SDS, n) || off < -limit_for(DRY_SDS, n))
		warn(w, DRY_HAND_PARTS, p, off, r->day, r->mc);
}

/* ---- of one probe */

static void watch_hurry(struct watch *w, size_t p)
{
	struct dry_pace pace = dry_pace_of(&w->charge->probe[p], w->now);
	const struct dry_rate_limit *most = dry_rate_limit_at(w->limits->most, w->limits->nmost, pace.mc);

	if (most && pace.rate - w->prior->scatter * sqrt(2) / pace.days > most->most)
		warn(w, DRY_HURRIES, p, pace.rate, pace.days, most->most);
}

static void watch_stuck(struct watch *w, size_t p)
{
	const struct dry_probe *probe = &w->charge->probe[p];
	size_t n = dry_read_by(probe, w->now), same = 1;
	struct summary then, now = summary_at(w, w->now);
	double days;

	while (same < n && fabs(probe->reading[n - 1 - same].shown - probe->reading[n - 1].shown) < STUCK_SAME)
		same++;
	if (n == 0 || same < STUCK_READINGS)
		return;
	days = probe->reading[n - 1].day - probe->reading[n - same].day;
	then = summary_at(w, probe->reading[n - same].day);
	if (days >= STUCK_DAYS && now.n > 1 && then.n == now.n && (then.mean - now.mean) * (double)now.n / ((double)now.n - 1) > STUCK_OTHERS)
		warn(w, DRY_STUCK, p, probe->reading[n - 1].shown, days, 0);
}

/* How far a probe's rate or rest is from what is expected, in standard deviations. */
static double apart(const struct watch *w, size_t p, size_t i)
{
	double unused, shift = i == DRY_OWN_LNK ? dry_group_shift(&w->prior->type, w->charge->probe[p].type, 0, &unused) : 0;

	return (w->fit->value[DRY_SHARED + DRY_OWN * p + i] - shift) / sqrt(w->prior->own[i]);
}

/* How far its start is from what the other probes and the past lead to expect. */
static double start_apart(const struct watch *w, size_t p)
{
	const double *value = w->fit->value + DRY_SHARED;
	double own = w->prior->own[DRY_OWN_START], precision = 1 / w->prior->covariance[DRY_START * DRY_LEARNED + DRY_START];
	double sum = (w->prior->mean[DRY_START] - w->fit->value[DRY_START]) * precision;

	for (size_t k = 0; k < w->charge->nprobes; k++)
		if (k != p && watched(w, k) && w->charge->probe[k].n) {
			sum += value[DRY_OWN * k + DRY_OWN_START] / own;
			precision += 1 / own;
		}
	return (value[DRY_OWN * p + DRY_OWN_START] - sum / precision) / sqrt(own + 1 / precision);
}

static void watch_parting(struct watch *w, size_t p)
{
	double rate = apart(w, p, DRY_OWN_LNK), rest = apart(w, p, DRY_OWN_OFFSET), start = start_apart(w, p);

	double pocket = (start - rate) / sqrt(2); /* wetter, and slower too */
	size_t n = summary_at(w, w->now).n;
	double most = limit_for(RATE_SDS, n);

	if (start > limit_for(WET_SDS, n) || start < -limit_for(DRY_SDS, n) || pocket > most)
		warn(w, DRY_PARTS, p, fabs(start) > pocket ? start : pocket, w->now, DRY_OWN_START);
	else if (fabs(rate) > most)
		warn(w, DRY_PARTS, p, rate, w->now, DRY_OWN_LNK);
	else if (fabs(rest) > most)
		warn(w, DRY_PARTS, p, rest, w->now, DRY_OWN_OFFSET);
}

/*
 * How far a reading is off both the curve and the readings beside it, which are `off` their curve as well: where the
 * curve misses them all it is the curve that is wrong.
 */
static double off_alone(const double *off, size_t n, size_t i)
{
	double beside = 0, from_beside;
	int many = 0;

	for (size_t k = i > 0 ? i - 1 : 0; k <= i + 1 && k < n; k++)
		if (k != i && !isnan(off[k])) {
			beside += off[k];
			many++;
		}
	if (!many)
		return off[i];
	from_beside = off[i] - beside / many;
	return from_beside * off[i] < 0 ? 0 : copysign(fmin(fabs(off[i]), fabs(from_beside)), off[i]);
}

/* The worst reading of a probe against its curve; the curve follows a probe that changed for good only in part. */
static void watch_jump(struct watch *w, size_t p)
{
	const struct dry_probe *probe = &w->charge->probe[p];
	size_t n = dry_read_by(probe, w->now), worst = 0;
	double *day = mem_array(n + 1, sizeof *day), *off = mem_array(n + 1, sizeof *off), most = 0;

	for (size_t i = 0; i < n; i++)
		day[i] = probe->reading[i].day;
	dry_curve(w->charge, w->fit, p, day, n, off);
	for (size_t i = 0; i < n; i++)
		off[i] = probe->reading[i].mark == DRY_AT ? (probe->reading[i].mc - off[i]) / probe->reading[i].noise : NAN;
	for (size_t i = 0; i < n; i++)
		if (!isnan(off[i]) && fabs(off_alone(off, n, i)) > fabs(most)) {
			most = off_alone(off, n, i);
			worst = i;
		}
	if (fabs(most) > fmax(JUMP_NOISES * w->prior->scatter, JUMP_LEAST))
		warn(w, DRY_JUMPS, p, off[worst], day[worst], w->prior->scatter);
	free(day);
	free(off);
}

static void watch_floor(struct watch *w, size_t p)
{
	const struct dry_probe *probe = &w->charge->probe[p];
	double least = HUGE_VAL, day = 0, by = FLOOR_NOISES * w->prior->scatter;
	bool under = false;

	for (size_t i = 0; i < probe->n && probe->reading[i].day <= w->now; i++) {
		const struct dry_reading *r = &probe->reading[i];

		under = under || r->mc < w->rule->low - by || (i && (r[-1].mc + r->mc) / 2 < w->rule->low - by / sqrt(2));
		if (r->mc < least) {
			least = r->mc;
			day = r->day;
		}
	}
	if (probe->ruled && under)
		warn(w, DRY_UNDER_FLOOR, p, least, day, w->rule->low);
}

static void watch_lost(struct watch *w, size_t p)
{
	const struct dry_reading *last = reading_at(&w->charge->probe[p], w->now);
	double since = w->now - (last ? last->day : w->charge->probe[p].from);

	if (since > w->limits->every)
		warn(w, DRY_LOST, p, NAN, since, w->limits->every);
}

static void watch_each(struct watch *w, void (*what)(struct watch *, size_t))
{
	for (size_t p = 0; p < w->charge->nprobes; p++)
		if (watched(w, p))
			what(w, p);
}

static int by_sign(const void *a, const void *b)
{
	const struct dry_warning *x = a, *y = b;

	if (x->sign != y->sign)
		return x->sign < y->sign ? -1 : 1;
	return x->probe < y->probe ? -1 : x->probe > y->probe;
}

size_t dry_warn(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	const struct dry_limits *limits, struct dry_warning *warning, size_t cap)
{
	struct watch w = { charge, prior, fit, rule, limits, warning, 0, cap, fit->now };

	watch_stall(&w);
	watch_flat(&w);
	watch_spread(&w);
	watch_equalize(&w);
	watch_rest(&w);
	watch_oven(&w);
	watch_each(&w, watch_hurry);
	watch_each(&w, watch_stuck);
	watch_each(&w, watch_parting);
	watch_each(&w, watch_jump);
	watch_each(&w, watch_lost);
	for (size_t p = 0; p < charge->nprobes; p++)
		watch_hand(&w, p);
	for (size_t p = 0; p < charge->nprobes; p++) /* also one that came out: the piece is in the charge */
		watch_floor(&w, p);
	if (w.n)
		qsort(warning, w.n, sizeof *warning, by_sign);
	return w.n;
}
