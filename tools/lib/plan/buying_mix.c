#include "plan/buying_mix.h"

#include <math.h>

#include "plan/buying.h"
#include "plan/buying_odds.h"
#include "plan/mix.h"
#include "plan/plan.h"

/* A mix that saves less than this part of the single source is not worth a row. */
static const double WORTH = 0.001;

struct problem {
	struct buying *b;
	struct plan *p;
	struct buying_type of;
	enum buying_goal goal;
	const struct buying_row *row[MIX_SOURCES_MOST];
	size_t want[MIX_WANTS_MOST];
	double cost[MIX_SOURCES_MOST];
	struct mix_want wants[MIX_WANTS_MOST];
	struct mix mix;
};

/* Blades of any grade that a piece becomes. */
static double blades_of(const struct problem *x, const struct buying_row *row)
{
	const struct buying_want any = { .type = row->type, .grade = STOCK_ANY };
	struct beta odds = buying_odds(x->p, &any, (struct grade_odds_wood){ row->type, row->source }, 1);

	return odds.a / (odds.a + odds.b);
}

static double cost_of(const struct problem *x, const struct buying_row *row)
{
	return x->goal == BUYING_CHEAPEST ? row->price : blades_of(x, row);
}

/* Of the row alone; INFINITY where it is not enough. */
static double alone(const struct problem *x, const struct buying_row *row)
{
	return row->count > BUYING_MOST ? INFINITY : cost_of(x, row) * (double)row->count;
}

/* Puts a row in, the least first; of too many the last goes. */
static void add_source(struct problem *x, const struct buying_row *row)
{
	size_t n = x->mix.nsources, at = n;

	if (!(cost_of(x, row) > 0))
		return;
	for (; at && alone(x, row) < alone(x, x->row[at - 1]); at--)
		if (at < MIX_SOURCES_MOST)
			x->row[at] = x->row[at - 1];
	if (at < MIX_SOURCES_MOST)
		x->row[at] = row;
	x->mix.nsources = n < MIX_SOURCES_MOST ? n + 1 : n;
}

static struct beta odds_of(void *context, size_t source, size_t want, int64_t n)
{
	const struct problem *x = context;

	return buying_odds(x->p, &x->b->want[x->want[want]], (struct grade_odds_wood){ x->row[source]->type, x->row[source]->source }, n);
}

static void add_want(struct problem *x, size_t i, double asked)
{
	const struct buying_want *w = &x->b->want[i];

	if (!w->wanted || w->chance >= asked || x->mix.nwants == MIX_WANTS_MOST)
		return;
	x->want[x->mix.nwants] = i;
	x->wants[x->mix.nwants++] = (struct mix_want){ w->most, w->coming, asked };
}

static void problem_init(struct problem *x, double asked)
{
	for (size_t i = x->of.first_row; i < x->of.end_row; i++)
		add_source(x, &x->b->row[i]);
	for (size_t i = 0; i < x->mix.nsources; i++)
		x->cost[i] = cost_of(x, x->row[i]);
	for (size_t i = x->of.first_want; i < x->of.end_want; i++)
		add_want(x, i, asked);
	x->mix.want = x->wants;
	x->mix.cost = x->cost;
	x->mix.most = BUYING_MOST;
	x->mix.complete_most = MIX_COMPLETE;
	x->mix.odds = odds_of;
	x->mix.context = x;
}

/* ---- the answer */

static void add_part(struct problem *x, struct buying_mix *mix, size_t source)
{
	const struct buying_row *row = x->row[source];
	struct buying_part part = { row->source, x->mix.buy[source], blades_of(x, row) * (double)x->mix.buy[source], row->price };
	struct buying *b = x->b;

	if (!part.count)
		return;
	b->part = mem_grow(b->part, &b->parts_cap, b->nparts + 1, sizeof *b->part);
	b->part[b->nparts++] = part;
	mix->n++;
	mix->expected += part.expected;
	mix->total += part.price * (double)part.count;
}

static void find_least(struct problem *x, struct buying_mix *mix)
{
	mix->chance = 2;
	for (size_t i = 0; i < x->mix.nwants; i++) {
		double chance = mix_chance(&x->mix, i, x->mix.buy);

		if (chance < mix->chance) {
			mix->chance = chance;
			mix->decides = x->want[i];
		}
	}
}

static void add_mix(struct problem *x, const struct buying_row *single)
{
	struct buying *b = x->b;
	struct buying_mix mix = { .type = x->row[0]->type, .goal = x->goal, .complete = x->mix.complete, .first = b->nparts, .single_total = NAN,
		.single_expected = NAN };

	for (size_t i = 0; i < x->mix.nsources; i++)
		add_part(x, &mix, i);
	if (single) {
		mix.single_total = single->price * (double)single->count;
		mix.single_expected = single->expected;
	}
	find_least(x, &mix);
	b->mix = mem_grow(b->mix, &b->mixes_cap, b->nmixes + 1, sizeof *b->mix);
	b->mix[b->nmixes++] = mix;
}

static void find_for(struct buying *b, struct plan *p, struct buying_type of, enum buying_goal goal, double asked)
{
	struct problem x = { .b = b, .p = p, .of = of, .goal = goal };
	const struct buying_row *single;
	double least;

	problem_init(&x, asked);
	if (x.mix.nsources < 2 || !x.mix.nwants)
		return;
	single = isfinite(alone(&x, x.row[0])) ? x.row[0] : NULL;
	least = single ? alone(&x, single) : INFINITY;
	mix_find(&x.mix);
	if (x.mix.found && x.mix.total < least * (1 - WORTH))
		add_mix(&x, single);
}

void buying_mix_find(struct buying *b, struct plan *p, struct buying_type of)
{
	double asked = p->ask->chance;

	find_for(b, p, of, BUYING_CHEAPEST, asked);
	find_for(b, p, of, BUYING_LEAST_LEFT, asked);
}
