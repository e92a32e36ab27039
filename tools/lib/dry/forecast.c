#include "dry/forecast.h"

#include <math.h>
#include <stdlib.h>

#include "dry/dice.h"
#include "dry/prior.h"
#include "math/tolerance.h"

/* Shares of the trials that the ranges hold. */
static const double RANGE_50 = 0.5;
static const double RANGE_90 = 0.9;

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

struct future {
	const struct dry_charge *charge;
	const struct dry_prior *prior;
	const struct dry_fit *fit;
	const struct dry_rule *rule;
	struct dry_dice dice;
	struct dry_grid grid;
	size_t known;             /* steps of the grid that are behind us */
	double part;              /* of a step from there to now */
	size_t n, *probe;         /* those that are still in, and ruled */
	struct dry_run *run, *trial;
	struct dry_piece *piece;
	struct dry_state *state;
	double *value, *before;
	double mean;              /* likeliest mean moisture now */
	struct allowed allowed;
};

static void future_init(struct future *f)
{
	size_t n = f->charge->nprobes;
	double now = f->fit->now;

	dry_grid_set(&f->grid, f->charge->air, f->charge->nair, now, now + DRY_STEP);
	f->known = (size_t)(now / DRY_STEP);
	f->part = now / DRY_STEP - (double)f->known;
	f->probe = mem_array(n, sizeof *f->probe);
	f->run = mem_array(n, sizeof *f->run);
	f->trial = mem_array(n, sizeof *f->trial);
	f->piece = mem_array(n, sizeof *f->piece);
	f->state = mem_array(n, sizeof *f->state);
	f->before = mem_array(n, sizeof *f->before);
	f->value = mem_array(f->fit->n, sizeof *f->value);
	for (size_t p = 0; p < n; p++)
		if (dry_probe_counts(&f->charge->probe[p], now)) {
			f->probe[f->n] = p;
			f->run[f->n++] = dry_run_of(f->rule, &f->charge->probe[p], now);
		}
	allowed_set(&f->allowed, f->rule, f->n);
	f->allowed.spread = dry_spread(f->charge, f->prior, f->fit, now);
}

static void future_release(struct future *f)
{
	dry_grid_release(&f->grid);
	free(f->probe);
	free(f->run);
	free(f->trial);
	free(f->piece);
	free(f->state);
	free(f->before);
	free(f->value);
}

static void start_trial(struct future *f, bool likeliest)
{
	f->mean = 0;
	for (size_t i = 0; i < f->fit->n; i++)
		f->value[i] = likeliest ? 0 : dry_dice_normal(&f->dice);
	if (!likeliest)
		arrow_spread(&f->fit->curve, f->value);
	for (size_t i = 0; i < f->fit->n; i++)
		f->value[i] += f->fit->value[i];
	memcpy(f->trial, f->run, f->n * sizeof *f->run);
	for (size_t i = 0; i < f->n; i++) {
		f->piece[i] = dry_piece_of(f->value, f->probe[i]);
		f->state[i] = dry_begin(&f->piece[i], f->grid.me_pct[0]);
		for (size_t k = 0; k < f->known; k++)
			dry_move(&f->piece[i], &f->state[i], f->grid.temp_c[k], f->grid.me_pct[k]);
		f->mean += f->state[i].mc / (double)f->n;
	}
}

/* The air to come: as an earlier charge had it when it was as wet, or as many days in. */
struct leading {
	const struct dry_past *past; /* NULL: there is none */
	size_t at;
	int still;                   /* steps for which it has not moved on */
	double temp_c, me_pct;       /* of now */
	double temp_off, me_off;     /* how far now is from what the past had, fading */
};

/*
 * Half days after which an operator goes on although the wood is above the moisture at which he went on before:
 * nobody waits for ever.
 */
enum { PATIENCE = 2 };

/*
 * What is left, after each half day, of how far the air was from the earlier charge's: that is the stage which
 * the operator is late or early with. Chosen on the simulated charges of tests/truth.
 */
static const double FADES = 0.5;

/* Points: the standard deviation of the bell that earlier charges are weighed by. */
static const double ALIKE = 2;

/* One that was over by then counts as if it were so many standard deviations off. */
static const double OVER_SDS = 3;

/* None counts for nothing at all: there has to be one to draw. */
static const double LIKENESS_LEAST = 1e-9;

/* Without a past, the EMC that the air is led at, as a part of the wood's moisture (wy-dry(1)). */
static const double LED_AT = 0.6;

/* How much a past charge says of this one: by how near it was in moisture when it had dried as long. */
static double likeness(const struct future *f, const struct dry_past *past)
{
	double off = f->known <= past->n ? (past->mean[f->known] - f->mean) / ALIKE : OVER_SDS;

	return exp(-0.5 * off * off) + LIKENESS_LEAST;
}

static const struct dry_past *draw_past(struct future *f)
{
	const struct dry_past *past = f->prior->past;
	double sum = 0, at;

	for (size_t i = 0; i < f->prior->ncharges; i++)
		sum += likeness(f, &past[i]);
	at = sum * dry_dice_share(&f->dice);
	for (size_t i = 0; i + 1 < f->prior->ncharges; i++) {
		at -= likeness(f, past);
		if (at < 0)
			break;
		past++;
	}
	return past;
}

static struct leading start_leading(struct future *f)
{
	struct leading l = { .temp_c = f->grid.temp_c[f->grid.n - 1], .me_pct = f->grid.me_pct[f->grid.n - 1] };

	if (f->prior->ncharges == 0)
		return l;
	l.past = draw_past(f);
	l.at = f->prior->by_time ? (f->known < l.past->n ? f->known : l.past->n - 1) : dry_past_at(l.past, f->mean, 0);
	l.temp_off = l.temp_c - l.past->temp_c[l.at];
	l.me_off = l.me_pct - l.past->me_pct[l.at];
	return l;
}

/* Without a past the air is taken to be led at 3/5 of the wood's moisture, down to the foot of the band. */
static void lead(const struct future *f, struct leading *l, double mean)
{
	size_t was;

	if (!l->past) {
		l->me_pct = fmin(l->me_pct, fmax(f->rule->low, LED_AT * mean));
		return;
	}
	was = l->at;
	if (!f->prior->by_time)
		l->at = dry_past_at(l->past, mean, l->at);
	l->still = l->at == was ? l->still + 1 : 0;
	if (l->at + 1 < l->past->n && l->still >= (f->prior->by_time ? 1 : PATIENCE)) {
		l->at++;
		l->still = 0;
	}
	l->temp_off *= FADES;
	l->me_off *= FADES;
	l->temp_c = l->past->temp_c[l->at] + l->temp_off;
	l->me_pct = l->past->me_pct[l->at] + l->me_off;
}

static double move_all(struct future *f, const struct leading *l)
{
	double mean = 0;

	for (size_t i = 0; i < f->n; i++) {
		f->before[i] = f->state[i].mc;
		dry_move(&f->piece[i], &f->state[i], l->temp_c, l->me_pct);
		mean += f->state[i].mc / (double)f->n;
	}
	return mean;
}

/* The readings of a day: whether the rule then holds. */
static bool read_all(struct future *f, double day)
{
	for (size_t i = 0; i < f->n; i++) {
		double mc = f->before[i] + f->part * (f->state[i].mc - f->before[i]) + f->prior->scatter * dry_dice_normal(&f->dice);

		dry_run_take(&f->trial[i], f->rule, day, mc, DRY_AT);
	}
	return !dry_rule_plain_fails(f->rule, f->trial, f->n) && allows(&f->allowed, f->rule, f->trial, f->n);
}

/* In how many days the rule holds, in one trial; DRY_HORIZON + 1 for not. */
static int trial(struct future *f)
{
	struct leading l;
	double mean;

	start_trial(f, false);
	l = start_leading(f);
	mean = f->mean;
	for (size_t i = 0; i < f->n; i++)
		f->piece[i].k *= exp(f->prior->drift * dry_dice_normal(&f->dice));
	mean = move_all(f, &l);
	for (int day = 1; day <= DRY_HORIZON; day++) {
		for (int step = 0; step < DRY_STEPS_A_DAY; step++) {
			lead(f, &l, mean);
			mean = move_all(f, &l);
		}
		if (read_all(f, f->fit->now + day))
			return day;
	}
	return DRY_HORIZON + 1;
}

/* The day below which half of the trials are, a whole day d being spread over d - 1/2 to d + 1/2. */
static double median_of(const int *count)
{
	double sum = 0;

	for (int day = 1; day <= DRY_HORIZON; day++) {
		if (sum + count[day] >= DRY_DRAWS / 2.0 && count[day])
			return day - 0.5 + (DRY_DRAWS / 2.0 - sum) / count[day];
		sum += count[day];
	}
	return HUGE_VAL;
}

/*
 * The whole days that hold a share of the trials. Each end is one of the two days between which its tail
 * comes to half of the rest; of the four ranges that has the one that comes nearest to the share. (To
 * spread the days out and take quantiles of that makes ranges too wide: by the variance of a day's
 * width, 1/12, as Sheppard's correction has it.)
 */
static void range_of(const int *count, double share, double *low, double *high)
{
	double tail = (1 - share) / 2 * DRY_DRAWS, best = HUGE_VAL, under[DRY_HORIZON + 3] = { 0 };
	int first = 1, last = DRY_HORIZON + 1;

	for (int day = 1; day <= DRY_HORIZON + 1; day++)
		under[day + 1] = under[day] + count[day];
	while (first < last && under[first + 1] <= tail)
		first++;
	while (last > first && DRY_DRAWS - under[last] <= tail)
		last--;
	for (int a = first; a <= first + 1 && a <= DRY_HORIZON + 1; a++)
		for (int b = last; b >= last - 1 && b >= a; b--) {
			double off = fabs(under[b + 1] - under[a] - share * DRY_DRAWS);

			if (off < best) {
				best = off;
				*low = a > DRY_HORIZON ? HUGE_VAL : a - 0.5;
				*high = b > DRY_HORIZON ? HUGE_VAL : b + 0.5;
			}
		}
}

void dry_forecast(const struct dry_charge *charge, const struct dry_prior *prior, const struct dry_fit *fit, const struct dry_rule *rule,
	uint64_t seed, struct dry_forecast *forecast)
{
	struct future f = { .charge = charge, .prior = prior, .fit = fit, .rule = rule, .dice = { .state = seed } };
	int count[DRY_HORIZON + 2] = { 0 };

	future_init(&f);
	for (int i = 0; i < DRY_DRAWS; i++)
		count[f.n ? trial(&f) : DRY_HORIZON + 1]++;
	for (int day = 0; day <= DRY_HORIZON + 1; day++)
		forecast->share[day] = count[day] / (double)DRY_DRAWS;
	forecast->never = count[DRY_HORIZON + 1] / (double)DRY_DRAWS;
	forecast->median = fit->now + median_of(count);
	range_of(count, RANGE_50, &forecast->low50, &forecast->high50);
	range_of(count, RANGE_90, &forecast->low90, &forecast->high90);
	forecast->low50 += fit->now;
	forecast->high50 += fit->now;
	forecast->low90 += fit->now;
	forecast->high90 += fit->now;
	future_release(&f);
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
