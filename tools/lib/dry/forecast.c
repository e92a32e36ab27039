#include "dry/forecast.h"

#include <math.h>
#include <stdlib.h>

#include "base/parallel.h"
#include "dry/lead.h"
#include "dry/prior.h"
#include "math/day_odds.h"
#include "math/dice.h"
#include "math/tolerance.h"

/* Shares of the trials that the ranges hold. */
static const double RANGE_50 = 0.5;
static const double RANGE_80 = 0.8;
static const double RANGE_90 = 0.9;

/* Days: bounds of how long the offset remembers. */
static const double MEMORY_LEAST = 4;
static const double MEMORY_MOST = 60;

/* The variance of Student's t of DRY_DRIFT_TAILS degrees of freedom. */
static const double DRIFT_VARIANCE = 3;

/* ---- the share, for thousands of trials: how far off the middle the mean may be, by sd */

/* The table: so many standard deviations, from 0 to half the band; between them a line is near enough. */
enum { SDS = 24 };

/* Halvings of half a band: to a millionth of it. */
enum { HALVINGS = 20 };

/* Points: the first of them is no less, so that nothing is divided by 0. */
static const double SD_LEAST = 1e-3;

struct allowed {
	bool asked;
	double spread[DRY_HORIZON + 1]; /* of pieces, by day from now on: the least that is taken; they come together as they dry */
	double step, off[SDS + 1];
};

static double allowed_off(const struct dry_rule *rule, size_t n, double sd)
{
	double half = (rule->high - rule->low) / 2, low = 0, high = half;

	if (!(tolerance_cover((double)n, half / sd, half / sd, rule->sure) >= rule->share))
		return -1;
	for (int i = 0; i < HALVINGS; i++) {
		double off = (low + high) / 2;

		if (tolerance_cover((double)n, (half + off) / sd, (half - off) / sd, rule->sure) >= rule->share)
			low = off;
		else
			high = off;
	}
	return low;
}

static void allowed_set(struct allowed *a, const struct dry_rule *rule, size_t n)
{
	*a = (struct allowed){ .asked = rule->share > 0 };
	if (!a->asked)
		return;
	a->step = (rule->high - rule->low) / 2 / SDS;
	for (size_t i = 0; i <= SDS; i++)
		a->off[i] = n < 2 || (i > 0 && a->off[i - 1] < 0) ? -1 : allowed_off(rule, n, fmax((double)i * a->step, SD_LEAST));
}

/* `day`: from now on. */
static bool allows(const struct allowed *a, const struct dry_rule *rule, const struct dry_run *run, size_t n, int day)
{
	double mean, sd, at, off;

	if (!a->asked)
		return true;
	dry_run_moments(run, n, &mean, &sd);
	at = fmax(sd, a->spread[day]) / a->step;
	if (!(at < SDS))
		return false;
	off = a->off[(size_t)at] + (at - floor(at)) * (a->off[(size_t)at + 1] - a->off[(size_t)at]);
	return fabs(mean - (rule->low + rule->high) / 2) <= off;
}

/* ---- what may come */

/* That of the charge, and one for each knot at which there may be a step. */
enum { FITS_MOST = DRY_KNOTS + 1 };

/* What all trials share. */
struct future {
	const struct dry_charge *charge;
	const struct dry_prior *prior;
	const struct dry_fit *fit;
	const struct dry_rule *rule;
	uint64_t seed;
	struct dry_grid air;      /* up to now */
	size_t known;             /* steps of it that are behind us */
	double part;              /* of a step from there to now */
	size_t n, *probe;         /* those that are still in, and ruled */
	struct dry_run *run;      /* of each, up to now */
	struct dry_fit fits[FITS_MOST]; /* the charge's, and all others, which are ours to release */
	size_t nfits;
	double odds[FITS_MOST], all_odds;
	double common, usual;     /* offset of this kiln: what charges spread about, and by how much, not knowing that well; */
	double learns, unsure;    /* the part of a charge's that is the kiln's own, and what then is still not known of that: sd */
	double memory;            /* days for which it remembers */
	struct lead_plan plan;
	struct gaps gaps;
	struct allowed allowed;
};

/* One of them, and then the next in its place. */
struct trial {
	const struct future *future;
	struct dice dice;
	struct dry_grid grid;     /* the air, with the drift */
	const struct dry_fit *drawn;
	double *value;            /* of the fit, as drawn */
	struct dry_run *daily, *visits;
	struct dry_piece *piece;
	struct dry_state *state;
	struct dry_quartet *quartet, *before; /* from now on, and before the last step */
	double temp_c, warmth;    /* of the last step */
	double *read;             /* what each probe reads on a day */
	double offset;            /* now, where it */
	double usually, rests;    /* settles if nothing stepped, and where it does */
	double drift;             /* since day 0 */
	double least;             /* EMC with the drift: the kiln is led at no less */
	double *mc;               /* where it is to be kept: */
	struct dry_quartet alike, alike_before; /* of that a piece like its charge, which changes nothing else */
	int held, seen;           /* in how many days the rule holds, and is seen to hold; DRY_HORIZON + 1 for not */
};

/* ---- the fits: that of the charge, and others in which the air stepped where the readings leave room for it */

/* Knots at which a step is sought, from the last on: those before them are too far to matter. */
enum { STEP_KNOTS = 6 };

/* Days: what stepped before is the charge's own offset, of which past charges say how far it may be off. */
static const double STEP_FIRST = 4;

/* The odds of a step that no fit has, for each day that passed. */
static const double STEP_RATE = 0.004;

/*
 * Of how uncertain a fit is, a trial draws so much. The curvature says more: with all of it, ranges of simulated works
 * (tests/truth/honest) hold too often. After a step of the air, of which few readings tell, they do not.
 */
static const double UNSURE_PART = 0.87, UNSURE_PART_STEPPED = 1;

struct sought {
	struct future *future;
	struct dry_fit fit[STEP_KNOTS];
	bool found[STEP_KNOTS];
};

static void seek_at(void *context, size_t knot)
{
	struct sought *s = context;
	const struct future *f = s->future;

	s->found[knot] = f->fit->knot[knot] >= STEP_FIRST && dry_fit_stepped(f->charge, f->prior, f->fit, knot, &s->fit[knot]);
}

/* Each counts by its evidence. */
static void seek_steps(struct future *f)
{
	double most = f->fit->evidence;
	struct sought sought = { .future = f };

	f->fits[f->nfits++] = *f->fit;
	parallel_run(&(struct parallel){ .work = seek_at, .context = &sought }, STEP_KNOTS, 0);
	for (size_t knot = 0; knot < STEP_KNOTS; knot++)
		if (sought.found[knot])
			f->fits[f->nfits++] = sought.fit[knot];
	for (size_t i = 0; i < f->nfits; i++)
		most = fmax(most, f->fits[i].evidence);
	for (size_t i = 0; i < f->nfits; i++) {
		f->odds[i] = exp(f->fits[i].evidence - most);
		f->all_odds += f->odds[i];
	}
}

/* Of a kiln of which little is known, a charge's offset is for the most part the kiln's. */
static void set_usual_offset(struct future *f)
{
	const struct dry_prior *prior = f->prior;
	double between = prior->between[DRY_OFFSET * DRY_LEARNED + DRY_OFFSET], of_kiln;

	f->common = prior->mean[DRY_OFFSET] + dry_group_shift(&prior->offset, f->charge->kiln, DRY_UNKNOWN_OFFSET, &of_kiln);
	f->usual = sqrt(prior->covariance[DRY_OFFSET * DRY_LEARNED + DRY_OFFSET] + of_kiln);
	f->learns = fmax(1 - between / (f->usual * f->usual), 0);
	f->unsure = sqrt(between * f->learns);
	f->memory = fmin(fmax(2 * between / (DRIFT_VARIANCE * prior->drift * prior->drift), MEMORY_LEAST), MEMORY_MOST);
}

/* How pieces spread on so many days, the first of which is now. */
static void set_spreads(const struct future *f, size_t n, double *spread)
{
	double day[DRY_HORIZON + 1];

	for (size_t i = 0; i < n; i++)
		day[i] = f->fit->now + (double)i;
	dry_spreads(f->charge, f->prior, f->fit, day, n, spread);
}

static void future_init(struct future *f)
{
	size_t n = f->charge->nprobes;
	double now = f->fit->now;

	dry_grid_set(&f->air, f->charge, now, now + DRY_STEP);
	f->known = dry_step_of(&f->air.still, now);
	f->part = dry_less_still(&f->air.still, now) / DRY_STEP - (double)f->known;
	f->probe = mem_array(n, sizeof *f->probe);
	f->run = mem_array(n, sizeof *f->run);
	for (size_t p = 0; p < n; p++)
		if (dry_probe_counts(&f->charge->probe[p], now)) {
			f->probe[f->n] = p;
			f->run[f->n++] = dry_run_of(f->rule, &f->charge->probe[p], now);
		}
	seek_steps(f);
	lead_plan_init(&f->plan, f->charge, f->prior, f->fit, f->rule);
	gaps_init(&f->gaps, f->charge, f->prior, now);
	set_usual_offset(f);
	allowed_set(&f->allowed, f->rule, f->n);
	if (f->allowed.asked)
		set_spreads(f, DRY_HORIZON + 1, f->allowed.spread);
}

static void future_release(struct future *f)
{
	dry_grid_release(&f->air);
	lead_plan_release(&f->plan);
	for (size_t i = 1; i < f->nfits; i++)
		dry_fit_release(&f->fits[i]);
	gaps_release(&f->gaps);
	free(f->probe);
	free(f->run);
}

/* ---- a trial */

static void trial_init(struct trial *t, const struct future *f)
{
	size_t n = f->n;

	*t = (struct trial){ .future = f };
	dry_grid_copy(&t->grid, &f->air);
	t->value = mem_array(f->fit->n, sizeof *t->value);
	t->daily = mem_array(n, sizeof *t->daily);
	t->visits = mem_array(n, sizeof *t->visits);
	t->piece = mem_array(n, sizeof *t->piece);
	t->state = mem_array(n, sizeof *t->state);
	t->quartet = mem_array(dry_quartets(n), sizeof *t->quartet);
	t->before = mem_array(dry_quartets(n), sizeof *t->before);
	t->read = mem_array(n, sizeof *t->read);
}

static void trial_release(struct trial *t)
{
	dry_grid_release(&t->grid);
	free(t->value);
	free(t->daily);
	free(t->visits);
	free(t->piece);
	free(t->state);
	free(t->quartet);
	free(t->before);
	free(t->read);
}

static void draw_values(struct trial *t)
{
	const struct future *f = t->future;
	const struct dry_fit *fit = &f->fits[dice_index(&t->dice, f->odds, f->nfits, f->all_odds)];
	double part = fit->step < DRY_KNOTS ? UNSURE_PART_STEPPED : UNSURE_PART;

	t->drawn = fit;
	for (size_t i = 0; i < fit->n; i++)
		t->value[i] = part * dice_normal(&t->dice);
	arrow_spread(&fit->curve, t->value);
	for (size_t i = 0; i < fit->n; i++)
		t->value[i] += fit->value[i];
}

/* Where the offset settles: a usual one where this kiln's do, one that is far out where it is. A step at a knot stays. */
static void settle_offset(struct trial *t)
{
	const struct future *f = t->future;
	double step = t->drawn->step < DRY_KNOTS ? t->value[DRY_DRIFT + t->drawn->step] : 0, off = t->offset - step - f->common;

	t->usually = f->common + f->learns * off + f->unsure * dice_normal(&t->dice);
	t->rests = lead_is_step(off, f->usual, false, STEP_RATE * f->fit->now, &t->dice) ? t->offset : t->usually + step;
}

static void start_trial(struct trial *t)
{
	const struct future *f = t->future;

	draw_values(t);
	memcpy(t->grid.me_pct, f->air.me_pct, f->air.n * sizeof *f->air.me_pct);
	dry_grid_drift(&t->grid, f->fit->knot, t->value + DRY_DRIFT);
	t->temp_c = NAN;
	t->drift = 0;
	for (size_t k = 0; k < DRY_KNOTS && !isnan(f->fit->knot[k]); k++)
		t->drift += t->value[DRY_DRIFT + k];
	t->offset = t->value[DRY_OFFSET] + t->drift;
	settle_offset(t);
	memcpy(t->daily, f->run, f->n * sizeof *f->run);
	memcpy(t->visits, f->run, f->n * sizeof *f->run);
	for (size_t i = 0; i < f->n; i++) {
		t->piece[i] = dry_piece_of(t->value, f->probe[i]);
		t->state[i] = dry_begin(&t->piece[i], t->grid.me_pct[0]);
	}
	dry_move_along(&t->grid, t->piece, t->state, f->n, f->known);
	dry_quartets_set(t->quartet, t->piece, t->state, f->n);
}

/* A piece like its charge: up to now. */
static void start_common(struct trial *t)
{
	double value[DRY_SHARED + DRY_OWN] = { 0 };
	struct dry_piece piece;
	struct dry_state state;

	memcpy(value, t->value, DRY_SHARED * sizeof *value);
	piece = dry_piece_of(value, 0);
	state = dry_begin(&piece, t->grid.me_pct[0]);
	dry_move_along(&t->grid, &piece, &state, 1, t->future->known);
	dry_quartets_set(&t->alike, &piece, &state, 1);
}

/* The pieces of a trial have their beta in common. */
static double warmth_at(struct trial *t, double temp_c)
{
	if (temp_c != t->temp_c) {
		t->temp_c = temp_c;
		t->warmth = dry_warmth(t->value[DRY_BETA], temp_c);
	}
	return t->warmth;
}

static double mc_of(const struct dry_quartet *q, size_t i)
{
	return q[i / DRY_FOUR].mc[i % DRY_FOUR];
}

static double move_all(struct trial *t, double temp_c, double me_pct)
{
	double mean = 0, warmth = warmth_at(t, temp_c), me = fmax(me_pct + t->drift, t->least);
	size_t n = t->future->n;

	if (t->mc) {
		t->alike_before = t->alike;
		dry_quartets_move(&t->alike, 1, warmth, me);
	}
	for (size_t i = 0; i < dry_quartets(n); i++)
		memcpy(t->before[i].mc, t->quartet[i].mc, sizeof t->before[i].mc);
	dry_quartets_move(t->quartet, n, warmth, me);
	for (size_t i = 0; i < n; i++)
		mean += mc_of(t->quartet, i);
	return mean / (double)n;
}

/* Between the last two steps. */
static double at_the_part(const struct trial *t, const struct dry_quartet *before, const struct dry_quartet *after, size_t i)
{
	return mc_of(before, i) + t->future->part * (mc_of(after, i) - mc_of(before, i));
}

static void keep_day(struct trial *t, int day)
{
	size_t n = t->future->n;
	double *mc = t->mc + (size_t)day * (n + 1);

	for (size_t i = 0; i < n; i++)
		mc[i] = at_the_part(t, t->before, t->quartet, i);
	mc[n] = at_the_part(t, &t->alike_before, &t->alike, 0);
}

/* A visit's readings are those of its day: who reads daily and who visits every day see the same. */
static void read_all(struct trial *t)
{
	for (size_t i = 0; i < t->future->n; i++)
		t->read[i] = at_the_part(t, t->before, t->quartet, i) + t->future->prior->scatter * dice_normal(&t->dice);
}

/* Takes the readings of a day from now on in: whether the rule then holds. */
static bool take_all(const struct trial *t, struct dry_run *run, int day)
{
	const struct future *f = t->future;

	for (size_t i = 0; i < f->n; i++)
		dry_run_take(&run[i], f->rule, f->fit->now + day, t->read[i], DRY_AT);
	return dry_rule_holds_plainly(f->rule, run, f->n) && allows(&f->allowed, f->rule, run, f->n, day);
}

/* Who finds the wood in the band, or just below it, lets it dry no further: the EMC that keeps it in the middle. */
static double held_at(const struct trial *t)
{
	return (t->future->rule->low + t->future->rule->high) / 2 - t->value[DRY_OFFSET];
}

/* A day on; returns the mean. */
static double day_on(struct trial *t, struct lead *l, double mean)
{
	t->drift += t->future->prior->drift * dice_t3(&t->dice) + (t->rests - t->value[DRY_OFFSET] - t->drift) / t->future->memory;
	for (int step = 0; step < DRY_STEPS_A_DAY; step++) {
		lead_on(l, mean);
		mean = move_all(t, l->temp_c, l->me_pct);
	}
	return mean;
}

/* The days to keep that the trial did not reach. */
static void keep_rest(struct trial *t, struct lead *l, double mean, int day)
{
	for (; day < DRY_TRIAL_DAYS; day++) {
		mean = day_on(t, l, mean);
		keep_day(t, day);
	}
}

static bool is_open(const struct trial *t)
{
	return t->held > DRY_HORIZON || t->seen > DRY_HORIZON;
}

/* What is read on a day. */
static void read_day(struct trial *t, int day, double *visit)
{
	bool visited = day >= *visit;

	if (t->held <= DRY_HORIZON && !visited)
		return;
	read_all(t);
	if (t->held > DRY_HORIZON && take_all(t, t->daily, day))
		t->held = day;
	if (!visited)
		return;
	*visit += gaps_next(&t->future->gaps, &t->dice);
	if (t->held <= DRY_HORIZON)
		t->least = held_at(t);
	if (t->seen > DRY_HORIZON && take_all(t, t->visits, day))
		t->seen = day;
}

/* The i-th of the seed; keeps what the wood is in it at `mc`, unless that is NULL. */
static void run_trial(struct trial *t, size_t i, double *mc)
{
	const struct future *f = t->future;
	struct lead l;
	double mean, visit;
	int day;

	t->dice = dice_of(f->seed, i);
	t->mc = mc;
	start_trial(t);
	if (mc)
		start_common(t);
	lead_start(&l, &f->plan, t->rests, t->usually, &t->dice);
	visit = gaps_first(&f->gaps, &t->dice);
	t->least = -HUGE_VAL;
	t->held = t->seen = DRY_HORIZON + 1;
	mean = move_all(t, f->air.temp_c[f->air.n - 1], f->air.me_pct[f->air.n - 1]);
	if (mc)
		keep_day(t, 0);
	for (day = 1; day <= DRY_HORIZON && is_open(t); day++) {
		mean = day_on(t, &l, mean);
		if (mc && day < DRY_TRIAL_DAYS)
			keep_day(t, day);
		read_day(t, day, &visit);
	}
	if (mc)
		keep_rest(t, &l, mean, day);
}

/* ---- all trials, on every core */

/* So many pieces of work: enough for the cores to end at about the same time, of enough trials to be worth the room for one. */
enum { BLOCKS = 20, A_BLOCK = DRY_DRAWS / BLOCKS };

struct trials {
	const struct future *future;
	int *held, *seen;
	double *mc;               /* NULL, or of all trials, one after another */
};

static void run_block(void *context, size_t block)
{
	const struct trials *all = context;
	const size_t kept = DRY_TRIAL_DAYS * (all->future->n + 1);
	struct trial t;

	trial_init(&t, all->future);
	for (size_t i = block * A_BLOCK; i < (block + 1) * A_BLOCK; i++) {
		run_trial(&t, i, all->mc ? all->mc + i * kept : NULL);
		all->held[i] = t.held;
		all->seen[i] = t.seen;
	}
	trial_release(&t);
}

/* A trial is its number's own, on whichever core it is run. */
static void run_trials(struct trials *all)
{
	parallel_run(&(struct parallel){ .work = run_block, .context = all }, BLOCKS, 0);
}

/* ---- the ranges */

/* (To spread the days out and take quantiles of that makes ranges too wide: by the variance of a day's width, 1/12, as Sheppard's correction has it.) */
static void set_range(const struct dry_fit *fit, const struct day_odds *odds, double share, double *low, double *high)
{
	struct day_range range = day_odds_range(odds, share);

	*low = range.first > DRY_HORIZON ? HUGE_VAL : fit->now + range.first - 0.5;
	*high = range.last > DRY_HORIZON ? HUGE_VAL : fit->now + range.last + 0.5;
}

static void summarize(const struct dry_fit *fit, struct dry_forecast *forecast)
{
	const struct day_odds odds = { forecast->share, DRY_HORIZON };

	forecast->never = forecast->share[DRY_HORIZON + 1];
	forecast->median = fit->now + day_odds_median(&odds);
	set_range(fit, &odds, RANGE_50, &forecast->low50, &forecast->high50);
	set_range(fit, &odds, RANGE_80, &forecast->low80, &forecast->high80);
	set_range(fit, &odds, RANGE_90, &forecast->low90, &forecast->high90);
}

/* ---- the forecast */

static void share_out(const int *days, size_t n, struct dry_forecast *forecast)
{
	for (size_t i = 0; i < n; i++)
		forecast->share[days[i]]++;
	for (int day = 0; day <= DRY_HORIZON + 1; day++)
		forecast->share[day] /= (double)n;
}

void dry_forecast(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	uint64_t seed, struct dry_forecast *held, struct dry_forecast *seen)
{
	struct future f = { .charge = charge, .prior = prior, .fit = fit, .rule = rule, .seed = seed };
	int hold[DRY_DRAWS], see[DRY_DRAWS];

	*held = *seen = (struct dry_forecast){ 0 };
	future_init(&f);
	for (size_t i = 0; i < DRY_DRAWS; i++)
		hold[i] = see[i] = DRY_HORIZON + 1;
	if (f.n)
		run_trials(&(struct trials){ &f, hold, see, NULL });
	share_out(hold, DRY_DRAWS, held);
	share_out(see, DRY_DRAWS, seen);
	summarize(fit, held);
	summarize(fit, seen);
	future_release(&f);
}

/* ---- the trials one by one */

static void trials_init(struct dry_trials *t, const struct future *f)
{
	t->nprobes = f->n;
	t->n = f->n ? DRY_DRAWS : 0;
	t->held = mem_array(DRY_DRAWS, sizeof *t->held);
	t->seen = mem_array(DRY_DRAWS, sizeof *t->seen);
	t->mc = mem_array(DRY_DRAWS * DRY_TRIAL_DAYS * (f->n + 1), sizeof *t->mc);
	t->probe = mem_array(f->n, sizeof *t->probe);
	t->noise = mem_array(f->n, sizeof *t->noise);
	t->age = mem_array(f->n, sizeof *t->age);
	t->by_hand = f->prior->scatter;
	for (size_t i = 0; i < f->n; i++) {
		const struct dry_probe *probe = &f->charge->probe[f->probe[i]];
		size_t n = dry_read_by(probe, f->fit->now);

		t->probe[i] = f->probe[i];
		t->noise[i] = f->prior->scatter * (n ? probe->reading[n - 1].noise : 1);
		t->age[i] = n ? f->fit->now - probe->reading[n - 1].day : HUGE_VAL;
	}
	set_spreads(f, DRY_TRIAL_DAYS, t->spread);
}

void dry_forecast_trials(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	uint64_t seed, struct dry_trials *trials)
{
	struct future f = { .charge = charge, .prior = prior, .fit = fit, .rule = rule, .seed = seed };

	future_init(&f);
	trials_init(trials, &f);
	if (trials->n)
		run_trials(&(struct trials){ &f, trials->held, trials->seen, trials->mc });
	future_release(&f);
}

void dry_trials_release(struct dry_trials *trials)
{
	free(trials->held);
	free(trials->seen);
	free(trials->mc);
	free(trials->probe);
	free(trials->noise);
	free(trials->age);
}

/* ---- the rival */

static double line_day(const struct dry_probe *probe, const struct dry_rule *rule, double now)
{
	const struct dry_reading *a = NULL, *b = NULL;

	for (size_t i = 0; i < probe->n && probe->reading[i].day <= now; i++)
		if (probe->reading[i].mark == DRY_AT) {
			a = b;
			b = &probe->reading[i];
		}
	if (!b)
		return HUGE_VAL;
	if (b->mc <= rule->high)
		return b->day;
	if (!a || a->mc <= b->mc || a->day >= b->day)
		return HUGE_VAL;
	return b->day + (b->mc - rule->high) * (b->day - a->day) / (a->mc - b->mc);
}

double dry_by_line(const struct dry_charge *charge, const struct dry_rule *rule, double now)
{
	double day = now + 1;

	for (size_t p = 0; p < charge->nprobes; p++)
		if (dry_probe_counts(&charge->probe[p], now))
			day = fmax(day, line_day(&charge->probe[p], rule, now) + (rule->readings > 1 ? rule->readings - 1 : 0));
	return day;
}
