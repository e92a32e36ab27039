#include "plan/mix.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "math/distributions.h"

/*
 * So many standard deviations from where the normal has the chance no mass is worked out in the search of a large problem. The answer is checked in
 * full, and looked for again with VERY_FAR if it fails.
 */
static const double FAR = 1.5, VERY_FAR = 40;

enum { GRID = 12 };

/* ---- one want */

static void gather(const struct mix *m, size_t source, size_t want, int64_t n, double *sum)
{
	int64_t most = m->want[want].wanted;
	double *mass;

	if (n <= 0)
		return;
	mass = mem_array((size_t)most + 1, sizeof *mass);
	beta_binomial_masses_to(m->odds(m->context, source, want, n), n, most, mass);
	masses_gather(sum, most, mass, most);
	free(mass);
}

double mix_chance(const struct mix *m, size_t want, const int64_t *buy)
{
	size_t size = (size_t)m->want[want].wanted + 1;
	double *sum = mem_array(size, sizeof *sum), chance;

	memcpy(sum, m->want[want].coming, size * sizeof *sum);
	for (size_t s = 0; s < m->nsources; s++)
		gather(m, s, want, buy[s], sum);
	chance = sum[size - 1];
	free(sum);
	return chance;
}

/* ---- by means and variances */

struct moments {
	double mean, variance;
};

/* Variances of proportions are kept for 1, 2, 4 ... pieces; between these they are as 1 / n. */
enum { SIZES = 24 };

struct mix_moments {
	struct moments coming[MIX_WANTS_MOST];
	double share[MIX_SOURCES_MOST][MIX_WANTS_MOST];
	double variance[MIX_SOURCES_MOST][MIX_WANTS_MOST][SIZES];
	double z[MIX_WANTS_MOST];
};

static struct moments coming_moments(const struct mix_want *w)
{
	double mean = 0, square = 0;

	for (int64_t k = 0; k <= w->wanted; k++) {
		mean += (double)k * w->coming[k];
		square += (double)k * (double)k * w->coming[k];
	}
	return (struct moments){ mean, square - mean * mean };
}

static void keep_moments(struct mix *m, struct mix_moments *k, size_t source, size_t want)
{
	for (int size = 0; size < SIZES; size++) {
		struct beta b = m->odds(m->context, source, want, (int64_t)1 << size);
		double p = b.a > 0 ? b.a / (b.a + b.b) : 0;

		k->share[source][want] = p;
		k->variance[source][want][size] = b.a > 0 && b.b > 0 ? p * (1 - p) / (b.a + b.b + 1) : 0;
	}
}

static void moments_init(struct mix *m)
{
	m->moments = mem_array(1, sizeof *m->moments);
	for (size_t w = 0; w < m->nwants; w++) {
		m->moments->coming[w] = coming_moments(&m->want[w]);
		m->moments->z[w] = dist_normal_q(m->want[w].asked);
		for (size_t s = 0; s < m->nsources; s++)
			keep_moments(m, m->moments, s, w);
	}
}

static struct moments source_moments(const struct mix *m, size_t source, size_t want, int64_t pieces)
{
	const double *known = m->moments->variance[source][want];
	double n = (double)pieces, p = m->moments->share[source][want], at, variance;
	int size;

	if (!pieces)
		return (struct moments){ 0, 0 };
	frexp(n, &size);
	size = size - 1 < SIZES - 2 ? size - 1 : SIZES - 2;
	at = ldexp(1, size);
	variance = known[size + 1] + (known[size] - known[size + 1]) * fmax(2 * at / n - 1, 0);
	/* of a proportion with that variance, n (p q - v) + n^2 v */
	return (struct moments){ n * p, n * (p * (1 - p) - variance) + n * n * variance };
}

/* How many standard deviations what is wanted is below the mean. */
static double above(const struct mix *m, size_t want, const int64_t *buy)
{
	struct moments sum = m->moments->coming[want];
	double more;

	for (size_t s = 0; s < m->nsources; s++) {
		struct moments one = source_moments(m, s, want, buy[s]);

		sum.mean += one.mean;
		sum.variance += one.variance;
	}
	more = sum.mean - (double)m->want[want].wanted + 0.5;
	return more / sqrt(fmax(sum.variance, 1e-9));
}

/* ---- all wants */

/* Of all sources but one: the chance of k or more blades for each want, worked out where it is asked for. */
struct others {
	const struct mix *m;
	size_t but;
	const int64_t *buy;
	double *tail[MIX_WANTS_MOST];
};

static const double *tail_of(struct others *o, size_t want)
{
	int64_t wanted = o->m->want[want].wanted;
	double *tail = o->tail[want];

	if (tail)
		return tail;
	tail = o->tail[want] = mem_array((size_t)wanted + 1, sizeof *tail);
	memcpy(tail, o->m->want[want].coming, ((size_t)wanted + 1) * sizeof *tail);
	for (size_t s = 0; s < o->m->nsources; s++)
		if (s != o->but)
			gather(o->m, s, want, o->buy[s], tail);
	for (int64_t k = wanted; k > 0; k--)
		tail[k - 1] += tail[k];
	return tail;
}

static double chance_with(struct others *o, size_t want, int64_t n)
{
	int64_t wanted = o->m->want[want].wanted;
	const double *tail = tail_of(o, want);
	double *mass = mem_array((size_t)wanted + 1, sizeof *mass), sum = 0;

	beta_binomial_masses_to(o->m->odds(o->m->context, o->but, want, n), n, wanted, mass);
	for (int64_t k = 0; k <= wanted; k++)
		sum += mass[k] * tail[wanted - k];
	free(mass);
	return sum;
}

static void others_release(struct others *o)
{
	for (size_t w = 0; w < o->m->nwants; w++)
		free(o->tail[w]);
}

/* Whether all wants have their chance: by the normal, or exactly where that is not far from it. `buy` has the number of the source that `o` leaves out. */
static bool is_enough(struct others *o, const int64_t *buy, bool exact)
{
	const struct mix *m = o->m;
	double z[MIX_WANTS_MOST];

	for (size_t w = 0; w < m->nwants; w++) {
		z[w] = above(m, w, buy);
		if (z[w] < m->moments->z[w] - (exact ? m->far : 0))
			return false;
	}
	for (size_t w = 0; w < m->nwants && exact; w++)
		if (z[w] < m->moments->z[w] + m->far && chance_with(o, w, buy[o->but]) < m->want[w].asked)
			return false;
	return true;
}

static bool is_enough_in_full(const struct mix *m, const int64_t *buy)
{
	for (size_t w = 0; w < m->nwants; w++)
		if (mix_chance(m, w, buy) < m->want[w].asked)
			return false;
	return true;
}

static double cost_of(const struct mix *m, const int64_t *buy)
{
	double sum = 0;

	for (size_t s = 0; s < m->nsources; s++)
		sum += m->cost[s] * (double)buy[s];
	return sum;
}

/* By doubled steps up from try[source]: sets the last that is not enough, or -1, and the first found that is; m->most + 1: there is none. */
static int64_t go_up(struct others *o, int64_t *try, int64_t *low, bool exact)
{
	int64_t *n = &try[o->but], most = o->m->most;

	*low = -1;
	for (int64_t step = 1; !is_enough(o, try, exact); step *= 2) {
		*low = *n;
		if (*n == most)
			return most + 1;
		*n = *low + step < most ? *low + step : most;
	}
	return *n;
}

/* The fewest pieces of a source with which it is enough, the others as they are; m->most + 1: there is none. Looks near `buy` first. */
static int64_t fewest(const struct mix *m, size_t source, const int64_t *buy, bool exact)
{
	int64_t try[MIX_SOURCES_MOST], low, high;
	struct others o = { m, source, buy, { NULL } };

	memcpy(try, buy, sizeof try);
	try[source] = try[source] < m->most ? try[source] : m->most;
	high = go_up(&o, try, &low, exact);
	for (int64_t step = 1; high <= m->most && high - low > 1; step *= 2) {
		int64_t below = high - step;

		/* down by doubled steps as long as nothing is known from below */
		try[source] = low >= 0 || below <= 0 ? low + (high - low) / 2 : below;
		if (is_enough(&o, try, exact))
			high = try[source];
		else
			low = try[source];
	}
	others_release(&o);
	return high;
}

/* Keeps a mix if it is the best so far. */
static bool keep(struct mix *m, const int64_t *buy)
{
	double cost = cost_of(m, buy);

	if (m->found && cost >= m->total - 1e-9 * m->total)
		return false;
	m->found = true;
	m->total = cost;
	memcpy(m->buy, buy, sizeof m->buy);
	return true;
}

/* Sets `with` to the fewest that it takes, and keeps that. */
static bool complete_with(struct mix *m, int64_t *buy, size_t with, bool exact)
{
	int64_t was = buy[with], n;
	bool better;

	/* what costs too much already is not worth a look */
	buy[with] = 0;
	if (m->found && cost_of(m, buy) >= m->total) {
		buy[with] = was;
		return false;
	}
	buy[with] = was;
	n = fewest(m, with, buy, exact);
	if (n > m->most)
		return false;
	buy[with] = n;
	better = keep(m, buy);
	return better;
}

/* ---- the complete search */

static void search(struct mix *m, int64_t *buy, size_t source, const int64_t *alone)
{
	if (source + 1 == m->nsources) {
		complete_with(m, buy, source, true);
		return;
	}
	for (buy[source] = 0; buy[source] <= alone[source]; buy[source]++) {
		for (size_t s = source + 1; s < m->nsources; s++)
			buy[s] = 0;
		if (m->found && cost_of(m, buy) >= m->total)
			break;
		search(m, buy, source + 1, alone);
	}
	buy[source] = 0;
}

/* ---- the larger one */

/* Some pieces of one source, and the fewest of another: by a grid that gets finer about its best. */
static bool exchange_by_grid(struct mix *m, size_t a, size_t b)
{
	int64_t low = 0, high = m->most, buy[MIX_SOURCES_MOST], least[MIX_SOURCES_MOST];
	bool any = false;

	memcpy(least, m->buy, sizeof least);
	memcpy(buy, least, sizeof buy);
	buy[b] = 0;
	high = fewest(m, a, buy, false);
	high = high > m->most ? m->most : high;
	for (int64_t step = (high + GRID - 1) / GRID; step; step = step > 1 ? (step + GRID / 2 - 1) / (GRID / 2) : 0) {
		for (int64_t n = low; n <= high; n += step) {
			memcpy(buy, m->buy, sizeof buy);
			buy[a] = n;
			any |= complete_with(m, buy, b, false);
		}
		low = m->buy[a] - step > 0 ? m->buy[a] - step : 0;
		high = m->buy[a] + step < high ? m->buy[a] + step : high;
	}
	return any;
}

/* What the mix costs by the normal, with the fewest of a source. */
static double roughly(const struct mix *m, const int64_t *buy, size_t with)
{
	int64_t try[MIX_SOURCES_MOST];

	memcpy(try, buy, sizeof try);
	try[with] = fewest(m, with, buy, false);
	return try[with] > m->most ? INFINITY : cost_of(m, try);
}

static double dearest(const struct mix *m)
{
	double most = 0;

	for (size_t s = 0; s < m->nsources; s++)
		most = fmax(most, m->cost[s]);
	return most;
}

/*
 * Some pieces more or fewer of one source, and the fewest of another, by exact chances. The normal is off by about as much for a mix that is
 * near: what costs clearly more by it is not tried.
 */
static bool exchange_exactly(struct mix *m, size_t a, size_t b)
{
	static const double NEAR = 0.002;
	int64_t buy[MIX_SOURCES_MOST], first = 256;
	double limit = roughly(m, m->buy, b) + fmax(NEAR * m->total, 3 * dearest(m));
	bool any = false;

	for (int64_t step = first; step; step = step == 1 ? -first : step == -1 ? 0 : step / 2) {
		memcpy(buy, m->buy, sizeof buy);
		buy[a] += step;
		if (buy[a] < 0 || buy[a] > m->most || (step > 0 && !buy[b]) || roughly(m, buy, b) > limit)
			continue;
		any |= complete_with(m, buy, b, true);
	}
	return any;
}

static void improve(struct mix *m, bool (*exchange)(struct mix *, size_t, size_t))
{
	bool any = true;

	while (any) {
		any = false;
		for (size_t a = 0; a < m->nsources; a++)
			for (size_t b = 0; b < m->nsources; b++)
				any |= a != b && exchange(m, a, b);
	}
}

/* Brings what the normal found to what is enough exactly, of each source in turn; keeps the best. */
static void make_exact(struct mix *m)
{
	int64_t start[MIX_SOURCES_MOST];

	memcpy(start, m->buy, sizeof start);
	m->found = false;
	for (size_t s = 0; s < m->nsources; s++) {
		int64_t buy[MIX_SOURCES_MOST];

		memcpy(buy, start, sizeof buy);
		complete_with(m, buy, s, true);
	}
}

static void approach(struct mix *m)
{
	improve(m, exchange_by_grid);
	if (m->found)
		make_exact(m);
	if (m->found)
		improve(m, exchange_exactly);
}

/* ---- the whole */

/* The fewest of each source alone; how many numbers there are of all but the last together, at most complete_most + 1. */
static int64_t find_alone(struct mix *m, int64_t *alone, bool exact)
{
	int64_t all = 1;

	for (size_t s = 0; s < m->nsources; s++) {
		int64_t buy[MIX_SOURCES_MOST] = { 0 };

		alone[s] = fewest(m, s, buy, exact);
		if (alone[s] <= m->most && exact) {
			buy[s] = alone[s];
			keep(m, buy);
		}
		alone[s] = alone[s] < m->most ? alone[s] : m->most;
		if (s + 1 < m->nsources)
			all = all * (alone[s] + 1) <= m->complete_most ? all * (alone[s] + 1) : m->complete_most + 1;
	}
	return all;
}

static void find(struct mix *m, double far)
{
	int64_t alone[MIX_SOURCES_MOST], buy[MIX_SOURCES_MOST] = { 0 };

	m->far = far;
	m->found = m->complete = false;
	memset(m->buy, 0, sizeof m->buy);
	if (find_alone(m, alone, false) <= m->complete_most) {
		m->far = VERY_FAR;
		m->complete = find_alone(m, alone, true) <= m->complete_most;
	}
	if (m->complete)
		search(m, buy, 0, alone);
	else
		approach(m);
}

void mix_find(struct mix *m)
{
	moments_init(m);
	find(m, FAR);
	if (m->found && !is_enough_in_full(m, m->buy))
		find(m, VERY_FAR);
	free(m->moments);
	m->moments = NULL;
}
