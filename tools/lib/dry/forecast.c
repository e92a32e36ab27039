#include "dry/forecast.h"

#include <math.h>
#include <stdlib.h>

#include "math/dice.h"
#include "dry/lead.h"
#include "dry/prior.h"
#include "math/day_odds.h"
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
	double spread;            /* of pieces now: the least that is taken */
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

static bool allows(const struct allowed *a, const struct dry_rule *rule, const struct dry_run *run, size_t n)
{
	double mean, sd, at, off;

	if (!a->asked)
		return true;
	dry_run_moments(run, n, &mean, &sd);
	at = fmax(sd, a->spread) / a->step;
	if (!(at < SDS))
		return false;
	off = a->off[(size_t)at] + (at - floor(at)) * (a->off[(size_t)at + 1] - a->off[(size_t)at]);
	return fabs(mean - (rule->low + rule->high) / 2) <= off;
}

/* ---- what may come */

/* That of the charge, and one for each knot at which there may be a step. */
enum { FITS_MOST = DRY_KNOTS + 1 };

struct future {
	const struct dry_charge *charge;
	const struct dry_prior *prior;
	const struct dry_fit *fit;
	const struct dry_rule *rule;
	struct dice dice;
	struct dry_grid air, grid; /* up to now, without and with the drift of the trial */
	size_t known;             /* steps of the grid that are behind us */
	double part;              /* of a step from there to now */
	size_t n, *probe;         /* those that are still in, and ruled */
	struct dry_run *run, *daily, *visits;
	struct dry_piece *piece;
	struct dry_state *state;
	struct dry_quartet *quartet; /* from now on */
	double temp_c, warmth;    /* of the trial's last step */
	double *value, *read;     /* the last: what each probe reads on a day */
	struct dry_quartet *before; /* the step */
	struct dry_fit fits[FITS_MOST]; /* the charge's, and all others, which are ours to release */
	const struct dry_fit *drawn; /* in the trial */
	size_t nfits;
	double odds[FITS_MOST], all_odds;
	double common, usual;     /* offset of this kiln: what charges spread about, and by how much, not knowing that well; */
	double learns, unsure;    /* the part of a charge's that is the kiln's own, and what then is still not known of that: sd */
	double memory;            /* days for which it remembers */
	double offset;            /* of the trial now, where it */
	double usually, rests;    /* settles if nothing stepped, and where it does */
	double drift;             /* of the trial since day 0 */
	double least;             /* EMC with the drift: the kiln is led at no less */
	struct lead_plan plan;
	struct gaps gaps;
	struct allowed allowed;
	double *mc;               /* of the trial, where it is to be kept: */
	struct dry_quartet alike, alike_before; /* of that a piece like its charge, which changes nothing else */
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
 * (tests/truth/honest) hold too often.
 */
static const double UNSURE_PART = 0.95;

/* Each counts by its evidence. */
static void seek_steps(struct future *f)
{
	double most = f->fit->evidence;

	f->fits[f->nfits++] = *f->fit;
	for (size_t knot = 0; knot < STEP_KNOTS; knot++)
		if (f->fit->knot[knot] >= STEP_FIRST)
			f->nfits += dry_fit_stepped(f->charge, f->prior, f->fit, knot, &f->fits[f->nfits]);
	for (size_t i = 0; i < f->nfits; i++)
		most = fmax(most, f->fits[i].evidence);
	for (size_t i = 0; i < f->nfits; i++) {
		f->odds[i] = exp(f->fits[i].evidence - most);
		f->all_odds += f->odds[i];
	}
}

static void draw_values(struct future *f)
{
	const struct dry_fit *fit = &f->fits[dice_index(&f->dice, f->odds, f->nfits, f->all_odds)];

	f->drawn = fit;
	for (size_t i = 0; i < fit->n; i++)
		f->value[i] = UNSURE_PART * dice_normal(&f->dice);
	arrow_spread(&fit->curve, f->value);
	for (size_t i = 0; i < fit->n; i++)
		f->value[i] += fit->value[i];
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

static void future_init(struct future *f)
{
	size_t n = f->charge->nprobes;
	double now = f->fit->now;

	dry_grid_set(&f->air, f->charge, now, now + DRY_STEP);
	dry_grid_set(&f->grid, f->charge, now, now + DRY_STEP);
	f->known = dry_step_of(&f->grid.still, now);
	f->part = dry_less_still(&f->grid.still, now) / DRY_STEP - (double)f->known;
	f->probe = mem_array(n, sizeof *f->probe);
	f->run = mem_array(n, sizeof *f->run);
	f->daily = mem_array(n, sizeof *f->daily);
	f->visits = mem_array(n, sizeof *f->visits);
	f->piece = mem_array(n, sizeof *f->piece);
	f->state = mem_array(n, sizeof *f->state);
	f->quartet = mem_array(dry_quartets(n), sizeof *f->quartet);
	f->before = mem_array(dry_quartets(n), sizeof *f->before);
	f->read = mem_array(n, sizeof *f->read);
	f->value = mem_array(f->fit->n, sizeof *f->value);
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
	f->allowed.spread = dry_spread(f->charge, f->prior, f->fit, now);
}

static void future_release(struct future *f)
{
	dry_grid_release(&f->air);
	dry_grid_release(&f->grid);
	lead_plan_release(&f->plan);
	for (size_t i = 1; i < f->nfits; i++)
		dry_fit_release(&f->fits[i]);
	gaps_release(&f->gaps);
	free(f->probe);
	free(f->run);
	free(f->daily);
	free(f->visits);
	free(f->piece);
	free(f->state);
	free(f->quartet);
	free(f->before);
	free(f->read);
	free(f->value);
}

/* Where the offset settles: a usual one where this kiln's do, one that is far out where it is. A step at a knot stays. */
static void settle_offset(struct future *f)
{
	double step = f->drawn->step < DRY_KNOTS ? f->value[DRY_DRIFT + f->drawn->step] : 0, off = f->offset - step - f->common;

	f->usually = f->common + f->learns * off + f->unsure * dice_normal(&f->dice);
	f->rests = lead_is_step(off, f->usual, STEP_RATE * f->fit->now, &f->dice) ? f->offset : f->usually + step;
}

static void start_trial(struct future *f)
{
	draw_values(f);
	memcpy(f->grid.me_pct, f->air.me_pct, f->grid.n * sizeof *f->grid.me_pct);
	dry_grid_drift(&f->grid, f->fit->knot, f->value + DRY_DRIFT);
	f->temp_c = NAN;
	f->drift = 0;
	for (size_t k = 0; k < DRY_KNOTS && !isnan(f->fit->knot[k]); k++)
		f->drift += f->value[DRY_DRIFT + k];
	f->offset = f->value[DRY_OFFSET] + f->drift;
	settle_offset(f);
	memcpy(f->daily, f->run, f->n * sizeof *f->run);
	memcpy(f->visits, f->run, f->n * sizeof *f->run);
	for (size_t i = 0; i < f->n; i++) {
		f->piece[i] = dry_piece_of(f->value, f->probe[i]);
		f->state[i] = dry_begin(&f->piece[i], f->grid.me_pct[0]);
	}
	dry_move_along(&f->grid, f->piece, f->state, f->n, f->known);
	dry_quartets_set(f->quartet, f->piece, f->state, f->n);
}

/* A piece like its charge: up to now. */
static void start_common(struct future *f)
{
	double value[DRY_SHARED + DRY_OWN] = { 0 };
	struct dry_piece piece;
	struct dry_state state;

	memcpy(value, f->value, DRY_SHARED * sizeof *value);
	piece = dry_piece_of(value, 0);
	state = dry_begin(&piece, f->grid.me_pct[0]);
	dry_move_along(&f->grid, &piece, &state, 1, f->known);
	dry_quartets_set(&f->alike, &piece, &state, 1);
}

/* The pieces of a trial have their beta in common. */
static double warmth_at(struct future *f, double temp_c)
{
	if (temp_c != f->temp_c) {
		f->temp_c = temp_c;
		f->warmth = dry_warmth(f->value[DRY_BETA], temp_c);
	}
	return f->warmth;
}

static double mc_of(const struct dry_quartet *q, size_t i)
{
	return q[i / DRY_FOUR].mc[i % DRY_FOUR];
}

static double move_all(struct future *f, double temp_c, double me_pct)
{
	double mean = 0, warmth = warmth_at(f, temp_c), me = fmax(me_pct + f->drift, f->least);

	if (f->mc) {
		f->alike_before = f->alike;
		dry_quartets_move(&f->alike, 1, warmth, me);
	}
	for (size_t i = 0; i < dry_quartets(f->n); i++)
		memcpy(f->before[i].mc, f->quartet[i].mc, sizeof f->before[i].mc);
	dry_quartets_move(f->quartet, f->n, warmth, me);
	for (size_t i = 0; i < f->n; i++)
		mean += mc_of(f->quartet, i) / (double)f->n;
	return mean;
}

/* Between the last two steps. */
static double at_the_part(const struct future *f, const struct dry_quartet *before, const struct dry_quartet *after, size_t i)
{
	return mc_of(before, i) + f->part * (mc_of(after, i) - mc_of(before, i));
}

static void keep_day(struct future *f, int day)
{
	double *mc = f->mc + (size_t)day * (f->n + 1);

	for (size_t i = 0; i < f->n; i++)
		mc[i] = at_the_part(f, f->before, f->quartet, i);
	mc[f->n] = at_the_part(f, &f->alike_before, &f->alike, 0);
}

/* A visit's readings are those of its day: who reads daily and who visits every day see the same. */
static void read_all(struct future *f)
{
	for (size_t i = 0; i < f->n; i++)
		f->read[i] = at_the_part(f, f->before, f->quartet, i) + f->prior->scatter * dice_normal(&f->dice);
}

/* Takes the readings of a day in: whether the rule then holds. */
static bool take_all(const struct future *f, struct dry_run *run, double day)
{
	for (size_t i = 0; i < f->n; i++)
		dry_run_take(&run[i], f->rule, day, f->read[i], DRY_AT);
	return dry_rule_holds_plainly(f->rule, run, f->n) && allows(&f->allowed, f->rule, run, f->n);
}

/* A draw of Student's t: a normal one over the root of a mean of squares of others. */
static double drift_of_a_day(struct future *f)
{
	double squares = 0, normal;

	for (int i = 0; i < (int)DRY_DRIFT_TAILS; i++) {
		normal = dice_normal(&f->dice);
		squares += normal * normal;
	}
	return f->prior->drift * dice_normal(&f->dice) / sqrt(squares / DRY_DRIFT_TAILS);
}

/* Who finds the wood in the band, or just below it, lets it dry no further: the EMC that keeps it in the middle. */
static double held_at(const struct future *f)
{
	return (f->rule->low + f->rule->high) / 2 - f->value[DRY_OFFSET];
}

/* A day on; returns the mean. */
static double day_on(struct future *f, struct lead *l, double mean)
{
	f->drift += drift_of_a_day(f) + (f->rests - f->value[DRY_OFFSET] - f->drift) / f->memory;
	for (int step = 0; step < DRY_STEPS_A_DAY; step++) {
		lead_on(l, mean);
		mean = move_all(f, l->temp_c, l->me_pct);
	}
	return mean;
}

/* The days to keep that a trial did not reach. The next trial draws as if they had not been. */
static void keep_rest(struct future *f, struct lead *l, double mean, int day)
{
	struct dice dice = f->dice;

	for (; day < DRY_TRIAL_DAYS; day++) {
		mean = day_on(f, l, mean);
		keep_day(f, day);
	}
	f->dice = dice;
}

/* In how many days the rule holds, in one trial, and is seen to hold; DRY_HORIZON + 1 for not. */
static void trial(struct future *f, int *held, int *seen)
{
	struct lead l;
	double mean, visit;
	bool visited;
	int day;

	start_trial(f);
	if (f->mc)
		start_common(f);
	lead_start(&l, &f->plan, f->rests, f->usually, &f->dice);
	visit = gaps_first(&f->gaps, &f->dice);
	f->least = -HUGE_VAL;
	*held = *seen = DRY_HORIZON + 1;
	mean = move_all(f, f->air.temp_c[f->air.n - 1], f->air.me_pct[f->air.n - 1]);
	if (f->mc)
		keep_day(f, 0);
	for (day = 1; day <= DRY_HORIZON && (*held > DRY_HORIZON || *seen > DRY_HORIZON); day++) {
		mean = day_on(f, &l, mean);
		if (f->mc && day < DRY_TRIAL_DAYS)
			keep_day(f, day);
		visited = day >= visit;
		if (*held <= DRY_HORIZON && !visited)
			continue;
		read_all(f);
		if (*held > DRY_HORIZON && take_all(f, f->daily, f->fit->now + day))
			*held = day;
		if (visited)
			visit += gaps_next(&f->gaps, &f->dice);
		if (visited && *held <= DRY_HORIZON)
			f->least = held_at(f);
		if (visited && *seen > DRY_HORIZON && take_all(f, f->visits, f->fit->now + day))
			*seen = day;
	}
	if (f->mc)
		keep_rest(f, &l, mean, day);
}

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

void dry_forecast(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	uint64_t seed, struct dry_forecast *held, struct dry_forecast *seen)
{
	struct future f = { .charge = charge, .prior = prior, .fit = fit, .rule = rule, .dice = { .state = seed } };
	int hold = DRY_HORIZON + 1, see = DRY_HORIZON + 1;

	*held = *seen = (struct dry_forecast){ 0 };
	future_init(&f);
	for (int i = 0; i < DRY_DRAWS; i++) {
		if (f.n)
			trial(&f, &hold, &see);
		held->share[hold]++;
		seen->share[see]++;
	}
	for (int day = 0; day <= DRY_HORIZON + 1; day++) {
		held->share[day] /= DRY_DRAWS;
		seen->share[day] /= DRY_DRAWS;
	}
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
	for (int day = 0; day < DRY_TRIAL_DAYS; day++)
		t->spread[day] = dry_spread(f->charge, f->prior, f->fit, f->fit->now + day);
}

void dry_forecast_trials(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	uint64_t seed, struct dry_trials *trials)
{
	struct future f = { .charge = charge, .prior = prior, .fit = fit, .rule = rule, .dice = { .state = seed } };

	future_init(&f);
	trials_init(trials, &f);
	for (size_t i = 0; i < trials->n; i++) {
		f.mc = trials->mc + i * DRY_TRIAL_DAYS * (f.n + 1);
		trial(&f, &trials->held[i], &trials->seen[i]);
	}
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
