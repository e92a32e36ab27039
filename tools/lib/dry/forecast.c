#include <stdlib.h>

#include "base/mem.h"
#include "dry/dry_internal.h"
#include "dry/model.h"
#include "math/least_squares.h"
#include "math/tolerance.h"

/* ---- the rule */

void dry_run_take(struct dry_run *run, const struct dry_rule *rule, double day, double mc, enum dry_mark mark)
{
	bool in = mark == DRY_AT && mc >= rule->low && mc <= rule->high;

	run->before = run->last;
	run->before_day = run->last_day;
	run->read_before = run->read;
	run->last = mc;
	run->last_day = day;
	run->read = true;
	run->since = in && run->in_band ? run->since : day;
	run->in_band = in ? run->in_band + 1 : 0;
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

/* All parts but the share. */
static unsigned plain_fails(const struct dry_rule *rule, const struct dry_run *run, size_t n)
{
	unsigned fails = n ? 0 : DRY_UNREAD;
	double wettest = -HUGE_VAL, driest = HUGE_VAL;

	for (size_t i = 0; i < n; i++) {
		fails |= run_fails(rule, &run[i]);
		if (run[i].read) {
			wettest = fmax(wettest, run[i].last);
			driest = fmin(driest, run[i].last);
		}
	}
	if (rule->spread >= 0 && wettest - driest > rule->spread + 1e-9)
		fails |= DRY_TOO_WIDE;
	return fails;
}

static void mean_and_sd(const struct dry_run *run, size_t n, double *mean, double *sd)
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
	mean_and_sd(run, n, &mean, &sd);
	sd = fmax(fmax(sd, spread), 1e-6);
	return tolerance_cover((double)n, (mean - rule->low) / sd, (rule->high - mean) / sd, rule->sure);
}

unsigned dry_rule_fails(const struct dry_rule *rule, const struct dry_run *run, size_t n, double spread)
{
	unsigned fails = plain_fails(rule, run, n);

	if (rule->share > 0 && !(fails & DRY_UNREAD) && !(dry_rule_assures(rule, run, n, spread) >= rule->share))
		fails |= DRY_UNSURE;
	return fails;
}

/* ---- the share, for thousands of trials: how far off the middle the mean may be, by sd */

enum { SDS = 24 };

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
	for (int i = 0; i < 20; i++) {
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
		a->off[i] = n < 2 || (i > 0 && a->off[i - 1] < 0) ? -1 : allowed_off(rule, n, fmax((double)i * a->step, 1e-3));
}

static bool allows(const struct allowed *a, const struct dry_rule *rule, const struct dry_run *run, size_t n)
{
	double mean, sd, at, off;

	if (!a->asked)
		return true;
	mean_and_sd(run, n, &mean, &sd);
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

static void take_readings(struct future *f, size_t i)
{
	const struct dry_probe *probe = &f->charge->probe[f->probe[i]];

	f->run[i] = (struct dry_run){ 0 };
	for (size_t r = 0; r < probe->n && probe->reading[r].day <= f->fit->now; r++)
		dry_run_take(&f->run[i], f->rule, probe->reading[r].day, probe->reading[r].mc, probe->reading[r].mark);
}

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
		if (f->charge->probe[p].ruled && f->charge->probe[p].from <= now && f->charge->probe[p].until > now) {
			f->probe[f->n] = p;
			take_readings(f, f->n++);
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
		fit_spread(f->fit->root, f->fit->n, f->value);
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

/* Nobody waits for ever for wood that stands above the moisture at which he went on before. */
enum { PATIENCE = 2 };

static const double FADES = 0.5; /* a step of half a day: what is left is the stage that the operator is late or early with */

static const double ALIKE = 2; /* points: standard deviation of the bell that earlier charges are weighed by */

/* How much a past charge tells of this one: by how near it was in moisture when it had dried as long. */
static double likeness(const struct future *f, const struct dry_past *past)
{
	double off = f->known <= past->n ? (past->mean[f->known] - f->mean) / ALIKE : 3;

	return exp(-0.5 * off * off) + 1e-9;
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
		l->me_pct = fmin(l->me_pct, fmax(f->rule->low, 0.6 * mean));
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
	return !plain_fails(f->rule, f->trial, f->n) && allows(&f->allowed, f->rule, f->trial, f->n);
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
		for (int half = 0; half < 2; half++) {
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
	forecast->never = count[DRY_HORIZON + 1] / (double)DRY_DRAWS;
	forecast->median = fit->now + median_of(count);
	range_of(count, 0.5, &forecast->low50, &forecast->high50);
	range_of(count, 0.9, &forecast->low90, &forecast->high90);
	forecast->low50 += fit->now;
	forecast->high50 += fit->now;
	forecast->low90 += fit->now;
	forecast->high90 += fit->now;
	future_release(&f);
}

/* ---- the rivals */

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
		if (charge->probe[p].ruled && charge->probe[p].from <= now && charge->probe[p].until > now)
			day = fmax(day, line_day(&charge->probe[p], rule, now) + (rule->readings > 1 ? rule->readings - 1 : 0));
	return day;
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
