#include "plan/planner.h"

#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "base/mem.h"

/* ---- how many blades */

static struct beta odds_of(const struct planner *p, size_t lot, size_t need)
{
	return p->odds[lot * p->nneeds + need];
}

static void gather_lot(const struct planner *p, size_t need, size_t lot, int64_t n, double *sum)
{
	struct beta odds = odds_of(p, lot, need);
	double *mass;

	if (n <= 0 || odds.a <= 0)
		return;
	mass = mem_array((size_t)n + 1, sizeof *mass);
	beta_binomial_masses(odds, n, mass);
	masses_gather(sum, p->need[need].demand, mass, n);
	free(mass);
}

static double *nothing(int64_t demand)
{
	double *mass = mem_zeroed((size_t)demand + 1, sizeof *mass);

	mass[0] = 1;
	return mass;
}

/* The blades of a charge, but for one of its lots; nlots: of all. */
static double *charge_masses(const struct planner *p, size_t need, size_t charge, size_t but)
{
	double *mass = nothing(p->need[need].demand);

	for (size_t lot = 0; lot < p->nlots; lot++)
		if (lot != but)
			gather_lot(p, need, lot, p->take[charge * p->nlots + lot], mass);
	return mass;
}

/* Adds the blades of a charge to others. Uses `mass` up. */
static void gather_charge(const struct planner *p, size_t need, size_t charge, bool timed, double *mass, double *sum)
{
	int64_t demand = p->need[need].demand;

	if (timed)
		masses_thin(mass, demand, p->in_time[charge * p->nneeds + need]);
	masses_gather(sum, demand, mass, demand);
}

/* What is under way and in all charges but one; ncharges: in all. */
static double *others(const struct planner *p, size_t need, bool timed, size_t but)
{
	const struct planner_need *n = &p->need[need];
	double *sum = mem_array((size_t)n->demand + 1, sizeof *sum);

	memcpy(sum, timed ? n->in_time : n->ever, ((size_t)n->demand + 1) * sizeof *sum);
	for (size_t charge = 0; charge < p->ncharges; charge++) {
		double *mass;

		if (charge == but || !p->charge[charge].taken)
			continue;
		mass = charge_masses(p, need, charge, p->nlots);
		gather_charge(p, need, charge, timed, mass, sum);
		free(mass);
	}
	return sum;
}

double planner_chance(const struct planner *p, size_t need, bool timed)
{
	double *sum = others(p, need, timed, p->ncharges), chance = sum[p->need[need].demand];

	free(sum);
	return chance;
}

/* ---- what a lot in a charge would do for a need */

struct trial {
	const struct planner *p;
	size_t need, charge, lot;
	bool timed;
	double *others, *rest;     /* of all other charges, and of the other lots of this one */
};

static void trial_init(struct trial *t, const struct planner *p, size_t need, size_t charge, size_t lot, bool timed)
{
	*t = (struct trial){ p, need, charge, lot, timed, others(p, need, timed, charge), charge_masses(p, need, charge, lot) };
}

static void trial_release(struct trial *t)
{
	free(t->others);
	free(t->rest);
}

/* The chance with so many pieces more of the lot. */
static double trial_chance(const struct trial *t, int64_t more)
{
	const struct planner *p = t->p;
	size_t size = (size_t)p->need[t->need].demand + 1;
	double *mass = mem_array(size, sizeof *mass), *sum = mem_array(size, sizeof *sum), chance;

	memcpy(mass, t->rest, size * sizeof *mass);
	memcpy(sum, t->others, size * sizeof *sum);
	gather_lot(p, t->need, t->lot, p->take[t->charge * p->nlots + t->lot] + more, mass);
	gather_charge(p, t->need, t->charge, t->timed, mass, sum);
	chance = sum[size - 1];
	free(mass);
	free(sum);
	return chance;
}

/* The fewest pieces more, up to `most`, with which the need has its chance; `most` where these do not give it. */
static int64_t fewest(const struct trial *t, int64_t most)
{
	int64_t low = 0, high = most; /* low is not enough */
	double asked = t->p->need[t->need].asked;

	if (trial_chance(t, most) < asked)
		return most;
	while (high - low > 1) {
		int64_t middle = low + (high - low) / 2;

		if (trial_chance(t, middle) >= asked)
			high = middle;
		else
			low = middle;
	}
	return high;
}

/* ---- loading */

static bool is_apart(const struct planner *p, size_t charge, size_t lot)
{
	for (size_t i = 0; i < p->nlots; i++)
		if (p->take[charge * p->nlots + i] && fabs(p->lot[i].mc_pct - p->lot[lot].mc_pct) > p->most_apart_pct)
			return true;
	return false;
}

bool planner_fits(const struct planner *p, size_t charge, size_t lot)
{
	return p->lot[lot].n > p->lot[lot].taken && p->charge[charge].room > p->charge[charge].taken && !is_apart(p, charge, lot);
}

void planner_take(struct planner *p, size_t charge, size_t lot, int64_t n)
{
	p->take[charge * p->nlots + lot] += n;
	p->lot[lot].taken += n;
	p->charge[charge].taken += n;
}

static int64_t most_of(const struct planner *p, size_t charge, size_t lot)
{
	int64_t left = p->lot[lot].n - p->lot[lot].taken, room = p->charge[charge].room - p->charge[charge].taken;

	return left < room ? left : room;
}

/* Whether the need could have its chance from that charge, if it brought enough. */
static bool can_help(const struct planner *p, size_t need, size_t charge, bool timed)
{
	double in_time = timed ? p->in_time[charge * p->nneeds + need] : 1, *sum, chance;

	if (in_time >= p->need[need].asked)
		return true;
	sum = others(p, need, timed, charge);
	chance = in_time + (1 - in_time) * sum[p->need[need].demand];
	free(sum);
	return chance >= p->need[need].asked;
}

/* Loads for the need into the charge; whether it is met now. */
static bool load(struct planner *p, size_t need, size_t charge, bool timed)
{
	for (size_t lot = 0; lot < p->nlots; lot++) {
		struct trial t;
		int64_t n;
		bool met;

		if (odds_of(p, lot, need).a <= 0 || !planner_fits(p, charge, lot))
			continue;
		trial_init(&t, p, need, charge, lot, timed);
		n = fewest(&t, most_of(p, charge, lot));
		met = trial_chance(&t, n) >= p->need[need].asked;
		trial_release(&t);
		planner_take(p, charge, lot, n);
		if (met)
			return true;
	}
	return false;
}

static bool load_for(struct planner *p, size_t need, bool timed)
{
	for (size_t charge = 0; charge < p->ncharges; charge++)
		if (can_help(p, need, charge, timed) && load(p, need, charge, timed))
			return true;
	return false;
}

/* ---- why a need is not met */

static enum planner_end shortage(const struct planner *p, size_t need)
{
	bool wood = false, both = false;

	for (size_t lot = 0; lot < p->nlots; lot++) {
		if (odds_of(p, lot, need).a <= 0 || p->lot[lot].taken == p->lot[lot].n)
			continue;
		wood = true;
		for (size_t charge = 0; charge < p->ncharges; charge++)
			both |= p->charge[charge].taken < p->charge[charge].room;
	}
	return both ? PLANNER_UNLIKE : wood ? PLANNER_NO_ROOM : PLANNER_NO_WOOD;
}

static void plan_need(struct planner *p, size_t need)
{
	struct planner_need *n = &p->need[need];

	n->chance_before = n->in_time[n->demand];
	if (planner_chance(p, need, true) >= n->asked)
		n->end = n->chance_before >= n->asked ? PLANNER_COVERED : PLANNER_IN_TIME;
	else if (load_for(p, need, true))
		n->end = PLANNER_IN_TIME;
	else if (planner_chance(p, need, false) >= n->asked || load_for(p, need, false))
		n->end = PLANNER_LATE;
	else
		n->end = shortage(p, need);
}

void planner_run(struct planner *p)
{
	for (size_t need = 0; need < p->nneeds; need++)
		plan_need(p, need);
	for (size_t need = 0; need < p->nneeds; need++) {
		p->need[need].chance = planner_chance(p, need, true);
		p->need[need].chance_ever = planner_chance(p, need, false);
	}
}
