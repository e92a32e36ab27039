/* What to buy of several sources: against exhaustive search on small cases; larger ones against the best of all pairs of numbers; and by hand. */
#include "plan/mix.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"
#include "check.h"
#include "thrown.h"

enum { SOURCES = 3, WANTS = 3 };

struct made {
	struct mix mix;
	struct mix_want want[WANTS];
	double coming[WANTS][64], cost[SOURCES];
	struct beta odds[SOURCES * WANTS];
};

static struct beta odds_of(void *context, size_t source, size_t want, int64_t n)
{
	const struct made *m = context;

	(void)n;
	return m->odds[source * WANTS + want];
}

static void make(struct made *m, size_t sources, size_t wants, int64_t least, int64_t most, int64_t pieces)
{
	memset(m, 0, sizeof *m);
	for (size_t w = 0; w < wants; w++) {
		int64_t n = thrown_within(least, most);

		m->want[w] = (struct mix_want){ n, m->coming[w], 0.5 + 0.45 * thrown_share() };
		m->coming[w][0] = 0.8;
		m->coming[w][1] = 0.2;
	}
	for (size_t s = 0; s < sources; s++)
		m->cost[s] = 1 + floor(20 * thrown_share());
	for (size_t i = 0; i < SOURCES * WANTS; i++) {
		double mean = 0.05 + 0.5 * thrown_share(), worth = 10 + 200 * thrown_share();

		m->odds[i] = (struct beta){ mean * worth, (1 - mean) * worth };
	}
	m->mix = (struct mix){ .want = m->want, .cost = m->cost, .nwants = wants, .nsources = sources, .most = pieces, .complete_most = MIX_COMPLETE, .odds = odds_of, .context = m };
}

/* ---- the chance by another way: the sum of all ways to get fewer */

static double below(const struct made *m, size_t want, const int64_t *buy, size_t source, int64_t left)
{
	double *mass, sum = 0;

	if (left <= 0)
		return 0;
	if (source == m->mix.nsources) {
		for (int64_t k = 0; k < left && k < 2; k++)
			sum += m->coming[want][k];
		return sum;
	}
	mass = mem_array((size_t)buy[source] + 1, sizeof *mass);
	beta_binomial_masses(m->odds[source * WANTS + want], buy[source], mass);
	for (int64_t k = 0; k <= buy[source] && k < left; k++)
		sum += mass[k] * below(m, want, buy, source + 1, left - k);
	free(mass);
	return sum;
}

static bool is_met(const struct made *m, const int64_t *buy)
{
	for (size_t w = 0; w < m->mix.nwants; w++)
		if (1 - below(m, w, buy, 0, m->want[w].wanted) < m->want[w].asked)
			return false;
	return true;
}

/* The least cost of all numbers up to `most` of each source; INFINITY: none is enough. */
static double searched(const struct made *m, int64_t *buy, size_t source, double best)
{
	double cost = 0;

	if (source == m->mix.nsources) {
		for (size_t s = 0; s < m->mix.nsources; s++)
			cost += m->cost[s] * (double)buy[s];
		return cost < best && is_met(m, buy) ? cost : best;
	}
	for (buy[source] = 0; buy[source] <= m->mix.most; buy[source]++)
		best = searched(m, buy, source + 1, best);
	return best;
}

static void small(void)
{
	int mixed = 0, none = 0;

	for (int turn = 0; turn < 80; turn++) {
		struct made m;
		int64_t buy[MIX_SOURCES_MOST] = { 0 };
		double want;
		size_t used = 0, sources = (size_t)thrown_within(2, SOURCES);

		make(&m, sources, (size_t)thrown_within(1, WANTS), 1, 4, 10);
		want = searched(&m, buy, 0, INFINITY);
		mix_find(&m.mix);
		CHECK(m.mix.complete);
		CHECK(m.mix.found == isfinite(want));
		none += !m.mix.found;
		if (!m.mix.found)
			continue;
		CHECK_NEAR(m.mix.total, want, 1e-9);
		CHECK(is_met(&m, m.mix.buy));
		for (size_t w = 0; w < m.mix.nwants; w++)
			CHECK_NEAR(mix_chance(&m.mix, w, m.mix.buy), 1 - below(&m, w, m.mix.buy, 0, m.want[w].wanted), 1e-9);
		for (size_t s = 0; s < m.mix.nsources; s++)
			used += m.mix.buy[s] > 0;
		mixed += used > 1;
	}
	CHECK(mixed > 8 && none > 3);
}

/* The best of all pairs of numbers, by the fewest of one for each of the other, one step after another down the stairs. */
static double best_pair(struct made *m)
{
	int64_t buy[MIX_SOURCES_MOST] = { 0, m->mix.most };
	double best = INFINITY;

	for (; buy[0] <= m->mix.most; buy[0]++) {
		bool met = true;

		while (met && buy[1] >= 0) {
			met = true;
			for (size_t w = 0; w < m->mix.nwants && met; w++)
				met = mix_chance(&m->mix, w, buy) >= m->want[w].asked;
			if (met) {
				best = fmin(best, m->cost[0] * (double)buy[0] + m->cost[1] * (double)buy[1]);
				buy[1]--;
			}
		}
		if (buy[1] < 0)
			break;
	}
	return best;
}

static void large(void)
{
	int mixed = 0;
	double over = 0;

	for (int turn = 0; turn < 10; turn++) {
		struct made m;
		double want;

		make(&m, 2, 2, 20, 40, 1500);
		/* each source is good for one of them */
		m.odds[0] = m.odds[WANTS + 1] = (struct beta){ 40 + 40 * thrown_share(), 100 };
		m.odds[1] = m.odds[WANTS] = (struct beta){ 1 + 2 * thrown_share(), 200 };
		m.cost[0] = 1 + floor(20 * thrown_share());
		want = best_pair(&m);
		m.mix.complete_most = 0;
		mix_find(&m.mix);
		CHECK(m.mix.found && m.mix.total >= want - 1e-9);
		over = fmax(over, m.mix.total / want - 1);
		mixed += m.mix.buy[0] && m.mix.buy[1] && !m.mix.complete;
	}
	CHECK(mixed > 4);
	CHECK_NEAR(over, 0, 1e-9);
}

/* One source has the 1s and the other the 2s, each for certain; both together cost least. */
static void by_hand(void)
{
	struct made m;

	make(&m, 2, 2, 1, 1, 100);
	for (size_t w = 0; w < 2; w++) {
		m.want[w].wanted = 3 + (int64_t)w;
		m.coming[w][0] = 1;
		m.coming[w][1] = 0;
	}
	m.odds[0] = m.odds[WANTS + 1] = (struct beta){ 1, 0 };
	m.odds[1] = m.odds[WANTS] = (struct beta){ 0, 1 };
	m.cost[0] = 5;
	m.cost[1] = 7;
	mix_find(&m.mix);
	CHECK(m.mix.found && m.mix.buy[0] == 3 && m.mix.buy[1] == 4);
	CHECK_NEAR(m.mix.total, 43, 1e-12);
	/* nobody has the 2s */
	m.odds[WANTS + 1] = (struct beta){ 0, 1 };
	mix_find(&m.mix);
	CHECK(!m.mix.found);
}

int main(void)
{
	thrown_seed = 20261130;
	small();
	large();
	by_hand();
	return check_end();
}
