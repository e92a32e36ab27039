#include "dry/next_reading.h"

#include <math.h>
#include <stdlib.h>

#include "math/dice.h"
#include "dry/forecast.h"
#include "math/day_odds.h"
#include "math/least_squares.h"

/* How many readings are tried, and the seed of their noise: the same for each thing that could be read, so that their difference is theirs. */
enum { TRIES = 160 };
static const uint64_t NOISE_SEED = 1961;

/* The most readings that are put together: those that follow the day best. More would fit the trials and not the wood. */
enum { TOGETHER_MOST = 24 };

/* Pieces read by hand. */
static const size_t BY_HAND[] = { 1, 3, 10, 30 };

static const double RANGE_50 = 0.5;
static const double RANGE_90 = 0.9;

/* ---- widths */

/* The last day that a trial holds on; the odds end there, so that they are summed quickly. */
static int last_day(const int *held, size_t n)
{
	int last = 1;

	for (size_t i = 0; i < n; i++)
		if (held[i] <= DRY_HORIZON && held[i] > last)
			last = held[i];
	return last;
}

/* The day below which so much is; that of never is the last of all. */
static double quantile(const double *share, int last, double part)
{
	double sum = 0;

	for (int day = 1; day <= last; day++) {
		if (share[day] > 0 && sum + share[day] >= part)
			return day - 0.5 + (part - sum) / share[day];
		sum += share[day];
	}
	return DRY_HORIZON + 0.5;
}

static double days_of(const double *share, int last, double part)
{
	return quantile(share, last, (1 + part) / 2) - quantile(share, last, (1 - part) / 2);
}

/* Of trials with weights; NULL: all alike. */
static struct next_width width_of(const int *held, const double *weight, size_t n, int last)
{
	double share[DRY_HORIZON + 2] = { 0 }, sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += weight ? weight[i] : 1;
	for (size_t i = 0; i < n; i++)
		share[held[i] > last ? last + 1 : held[i]] += (weight ? weight[i] : 1) / sum;
	return (struct next_width){ .days90 = days_of(share, last, RANGE_90), .days50 = days_of(share, last, RANGE_50),
		.open90 = share[last + 1] > (1 - RANGE_90) / 2 };
}

struct next_width next_width_now(const int *held, size_t n)
{
	return width_of(held, NULL, n, last_day(held, n));
}

static int by_value(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

/* From the least to the most of them in even steps of rank, so that few stand well for all. */
static void take_tries(const double *signal, size_t n, double *try)
{
	double *sorted = mem_array(n, sizeof *sorted);

	memcpy(sorted, signal, n * sizeof *sorted);
	qsort(sorted, n, sizeof *sorted, by_value);
	for (size_t k = 0; k < TRIES; k++)
		try[k] = sorted[(2 * k + 1) * n / (2 * TRIES)];
	free(sorted);
}

/* Beyond so many standard deviations it is below 1e-22, and nothing beside the weight of the trial that was read. */
static const double FAR_SDS = 10;

static double weight_of(double z)
{
	return z < FAR_SDS && z > -FAR_SDS ? exp(-0.5 * z * z) : 0;
}

struct next_width next_width_after(const int *held, const double *signal, size_t n, double noise)
{
	double *weight = mem_array(n, sizeof *weight), try[TRIES], days90[TRIES], days50[TRIES];
	struct dice dice = { .state = NOISE_SEED };
	struct next_width after = { 0 };
	int last = last_day(held, n);

	take_tries(signal, n, try);
	for (size_t k = 0; k < TRIES; k++) {
		double y = try[k] + noise * dice_normal(&dice);
		struct next_width width;

		for (size_t i = 0; i < n; i++)
			weight[i] = weight_of((signal[i] - y) / noise);
		width = width_of(held, weight, n, last);
		days90[k] = width.days90;
		days50[k] = width.days50;
		after.open90 += width.open90 / TRIES;
	}
	qsort(days90, TRIES, sizeof *days90, by_value);
	qsort(days50, TRIES, sizeof *days50, by_value);
	after.days90 = (days90[TRIES / 2 - 1] + days90[TRIES / 2]) / 2;
	after.days50 = (days50[TRIES / 2 - 1] + days50[TRIES / 2]) / 2;
	free(weight);
	return after;
}

/* ---- several readings as one */

/* Readings that are taken together. */
struct together {
	const struct dry_trials *trials;
	double *z;                 /* of each of them, of each trial: what it would be but for the noise, less its mean */
	double *noise, *follows;   /* of each: how well it follows the day, squared */
	size_t n;
};

static double mean_of(const double *v, size_t n)
{
	double sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += v[i];
	return sum / (double)n;
}

static double product(const double *a, const double *b, size_t n)
{
	double sum = 0;

	for (size_t i = 0; i < n; i++)
		sum += a[i] * b[i];
	return sum / (double)n;
}

/* How well a reading follows the day, squared and by the day's own measure; its values less their mean go to `z`. */
static double follows_day(const struct dry_trials *t, const double *held, int day, size_t probe, double *z)
{
	double mean;

	for (size_t i = 0; i < t->n; i++)
		z[i] = dry_trials_mc(t, i, day, probe);
	mean = mean_of(z, t->n);
	for (size_t i = 0; i < t->n; i++)
		z[i] -= mean;
	return pow(product(z, held, t->n), 2) / (product(z, z, t->n) + pow(t->noise[probe], 2));
}

/* Adds one, in the place of the one that follows worst where there are enough. */
static void add_reading(struct together *g, const double *held, int day, size_t probe, double *z)
{
	double follows = follows_day(g->trials, held, day, probe, z);
	size_t n = g->trials->n, at = 0;

	if (g->n < TOGETHER_MOST)
		g->follows[at = g->n++] = -1;
	for (size_t i = 0; i < g->n; i++)
		if (g->follows[i] < g->follows[at])
			at = i;
	if (follows > g->follows[at]) {
		memcpy(g->z + at * n, z, n * sizeof *z);
		g->noise[at] = g->trials->noise[probe];
		g->follows[at] = follows;
	}
}

/* The weights of the best linear guess of the day: (cov z + noise^2) b = cov(z, day). False where they are none. */
static bool weigh(const struct together *g, const double *held, double *b)
{
	double a[TOGETHER_MOST * TOGETHER_MOST];
	size_t n = g->trials->n;

	for (size_t r = 0; r < g->n; r++) {
		for (size_t c = 0; c < g->n; c++)
			a[r * g->n + c] = product(g->z + r * n, g->z + c * n, n) + (r == c ? g->noise[r] * g->noise[r] : 0);
		b[r] = product(g->z + r * n, held, n);
	}
	if (!fit_root(a, g->n))
		return false;
	fit_solve(a, g->n, b);
	return true;
}

static struct next_width together_after(const struct together *g, const double *held)
{
	size_t n = g->trials->n;
	double *signal = mem_zeroed(n, sizeof *signal), b[TOGETHER_MOST], square = 0;
	struct next_width width = next_width_now(g->trials->held, n);

	if (weigh(g, held, b)) {
		for (size_t r = 0; r < g->n; r++) {
			square += b[r] * b[r] * g->noise[r] * g->noise[r];
			for (size_t i = 0; i < n; i++)
				signal[i] += b[r] * g->z[r * n + i];
		}
		if (square > 0)
			width = next_width_after(g->trials->held, signal, n, sqrt(square));
	}
	free(signal);
	return width;
}

/* ---- what could be read */

struct looker {
	struct next_readings *next;
	const struct dry_trials *trials;
	double apart;
	double *held, *signal;     /* held: less its mean */
};

static bool may_read(const struct looker *k, int day, size_t probe)
{
	return day > 0 || k->trials->age[probe] >= k->apart;
}

static bool may_read_every(const struct looker *k, int day)
{
	for (size_t p = 0; p < k->trials->nprobes; p++)
		if (!may_read(k, day, p))
			return false;
	return true;
}

static struct next_width after_probe(const struct looker *k, int day, size_t probe)
{
	const struct dry_trials *t = k->trials;

	for (size_t i = 0; i < t->n; i++)
		k->signal[i] = dry_trials_mc(t, i, day, probe);
	return next_width_after(t->held, k->signal, t->n, t->noise[probe]);
}

/* Their mean: of a piece like its charge, with how pieces spread and the noise. */
static struct next_width after_pieces(const struct looker *k, int day, size_t pieces)
{
	const struct dry_trials *t = k->trials;
	double spread = t->spread[day];

	for (size_t i = 0; i < t->n; i++)
		k->signal[i] = dry_trials_mc(t, i, day, t->nprobes);
	return next_width_after(t->held, k->signal, t->n, sqrt((spread * spread + t->by_hand * t->by_hand) / (double)pieces));
}

static struct next_width after_every(const struct looker *k, int day, int until)
{
	double noise[TOGETHER_MOST], follows[TOGETHER_MOST];
	struct together g = { .trials = k->trials, .noise = noise, .follows = follows };
	struct next_width width;

	g.z = mem_array(TOGETHER_MOST * k->trials->n, sizeof *g.z);
	for (; day <= until; day++)
		for (size_t p = 0; p < k->trials->nprobes; p++)
			add_reading(&g, k->held, day, p, k->signal);
	width = together_after(&g, k->held);
	free(g.z);
	return width;
}

static struct next_width after(const struct looker *k, const struct next_reading *r, size_t probe)
{
	switch (r->kind) {
	case NEXT_PROBE:
		return after_probe(k, r->day, probe);
	case NEXT_BY_HAND:
		return after_pieces(k, r->day, r->count);
	default:
		return after_every(k, r->day, r->until);
	}
}

/* What counts as narrower, or wider. */
static double least(const struct next_readings *next)
{
	return fmax(NEXT_LEAST, NEXT_LEAST_PART * next->now.days90);
}

double next_gain(const struct next_readings *next, const struct next_reading *reading)
{
	return next->now.days90 - reading->after.days90;
}

bool next_narrows(const struct next_readings *next, const struct next_reading *reading)
{
	return next_gain(next, reading) >= least(next);
}

/* Adds the reading of one kind on the first day on which it wins enough of what it wins on its best day. */
static void look_at(const struct looker *k, struct next_reading r, size_t probe)
{
	struct next_readings *next = k->next;
	struct next_reading on[DRY_TRIAL_DAYS];
	double most = -HUGE_VAL;
	int n = 0, at = 0;

	for (int day = 0; day <= next->last_day; day++) {
		if (r.kind == NEXT_PROBE ? !may_read(k, day, probe) : r.kind == NEXT_EVERY && !may_read_every(k, day))
			continue;
		on[n] = r;
		on[n].day = on[n].until = day;
		on[n].after = after(k, &on[n], probe);
		most = fmax(most, next_gain(next, &on[n++]));
	}
	while (at < n - 1 && next_gain(next, &on[at]) < NEXT_ENOUGH * most)
		at++;
	if (n)
		next->reading[next->n++] = on[at];
}

static void look_at_daily(const struct looker *k)
{
	struct next_readings *next = k->next;
	int day = may_read_every(k, 0) ? 0 : 1;
	struct next_reading r = { .kind = NEXT_DAILY, .day = day, .until = next->last_day };

	if (day >= next->last_day)
		return;
	r.count = k->trials->nprobes * (size_t)(r.until - r.day + 1);
	r.after = after(k, &r, 0);
	next->reading[next->n++] = r;
}

/* The probes that follow the day best, on their best day, have `true`. */
static void choose_probes(const struct looker *k, bool *chosen)
{
	size_t n = k->trials->nprobes;
	double *follows = mem_zeroed(n, sizeof *follows);

	for (size_t p = 0; p < n; p++)
		for (int day = 0; day <= k->next->last_day; day++)
			follows[p] = fmax(follows[p], follows_day(k->trials, k->held, day, p, k->signal));
	for (size_t p = 0; p < n; p++) {
		size_t better = 0;

		for (size_t q = 0; q < n; q++)
			better += follows[q] > follows[p] || (q < p && !(follows[q] < follows[p]));
		chosen[p] = better < NEXT_PROBES_MOST;
	}
	free(follows);
}

static void look_at_probes(const struct looker *k)
{
	size_t n = k->trials->nprobes;
	bool *chosen = mem_zeroed(n, sizeof *chosen);

	choose_probes(k, chosen);
	for (size_t p = 0; p < n; p++)
		if (chosen[p])
			look_at(k, (struct next_reading){ .kind = NEXT_PROBE, .probe = k->trials->probe[p], .count = 1 }, p);
	free(chosen);
}

static void look_at_all(const struct looker *k, size_t pieces)
{
	size_t n = k->trials->nprobes;

	look_at_probes(k);
	for (size_t i = 0; i < sizeof BY_HAND / sizeof *BY_HAND; i++)
		if (BY_HAND[i] <= pieces)
			look_at(k, (struct next_reading){ .kind = NEXT_BY_HAND, .count = BY_HAND[i] }, 0);
	if (n > 1)
		look_at(k, (struct next_reading){ .kind = NEXT_EVERY, .count = n }, 0);
	look_at_daily(k);
}

/* ---- which of them */

/* The narrowest first; of those alike fewer readings. */
static int by_width(const void *a, const void *b)
{
	const struct next_reading *x = a, *y = b;

	if (x->after.days90 < y->after.days90 || x->after.days90 > y->after.days90)
		return x->after.days90 < y->after.days90 ? -1 : 1;
	if (x->kind != y->kind)
		return x->kind < y->kind ? -1 : 1;
	if (x->count != y->count)
		return x->count < y->count ? -1 : 1;
	return (x->probe > y->probe) - (x->probe < y->probe);
}

/* Whether it is less work: fewer readings, or as many that are sooner; a probe before a piece by hand. */
static bool is_less(const struct next_reading *a, const struct next_reading *b)
{
	if (a->count != b->count)
		return a->count < b->count;
	return a->kind != b->kind ? a->kind < b->kind : a->day < b->day;
}

/* Puts the one to take first: of one day, with enough of what such a one wins at most. */
static void choose(struct next_readings *next)
{
	struct next_reading first;
	size_t best = SIZE_MAX;
	double most = 0;

	for (size_t i = 0; i < next->n; i++)
		next->widens |= next_gain(next, &next->reading[i]) <= -least(next);
	for (size_t i = 0; i < next->n; i++)
		if (next->reading[i].kind != NEXT_DAILY)
			most = fmax(most, next_gain(next, &next->reading[i]));
	for (size_t i = 0; i < next->n; i++) {
		const struct next_reading *r = &next->reading[i];

		if (r->kind != NEXT_DAILY && next_narrows(next, r) && next_gain(next, r) >= NEXT_ENOUGH * most &&
			(best == SIZE_MAX || is_less(r, &next->reading[best])))
			best = i;
	}
	next->narrows = best != SIZE_MAX;
	if (!next->narrows)
		return;
	first = next->reading[best];
	memmove(next->reading + 1, next->reading, best * sizeof first);
	next->reading[0] = first;
}

static int first_day(const struct dry_trials *t)
{
	double share[DRY_HORIZON + 2] = { 0 };
	const struct day_odds odds = { share, DRY_HORIZON };
	int first;

	for (size_t i = 0; i < t->n; i++)
		share[t->held[i]] += 1.0 / (double)t->n;
	first = day_odds_range(&odds, RANGE_90).first;
	return first < DRY_TRIAL_DAYS ? first : DRY_TRIAL_DAYS - 1;
}

static double share_never(const struct dry_trials *t)
{
	size_t n = 0;

	for (size_t i = 0; i < t->n; i++)
		n += t->held[i] > DRY_HORIZON;
	return (double)n / (double)t->n;
}

void next_readings_init(struct next_readings *next, const struct dry_trials *trials, double apart, size_t pieces)
{
	struct looker k = { .next = next, .trials = trials, .apart = apart };
	double mean = 0;

	*next = (struct next_readings){ 0 };
	if (trials->n == 0)
		return;
	next->never = share_never(trials);
	next->now = next_width_now(trials->held, trials->n);
	next->last_day = first_day(trials);
	if (next->never >= NEXT_NEVER)
		return;
	k.held = mem_array(trials->n, sizeof *k.held);
	k.signal = mem_array(trials->n, sizeof *k.signal);
	for (size_t i = 0; i < trials->n; i++)
		mean += trials->held[i] / (double)trials->n;
	for (size_t i = 0; i < trials->n; i++)
		k.held[i] = trials->held[i] - mean;
	next->reading = mem_array(trials->nprobes + sizeof BY_HAND / sizeof *BY_HAND + 2, sizeof *next->reading);
	look_at_all(&k, pieces);
	qsort(next->reading, next->n, sizeof *next->reading, by_width);
	choose(next);
	free(k.held);
	free(k.signal);
}

void next_readings_release(struct next_readings *next)
{
	free(next->reading);
}
