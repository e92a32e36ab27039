#include "grades/grade_odds.h"

#include <math.h>
#include <stdlib.h>

#include "house/house.h"
#include "math/spread.h"

enum { PAST_KILN, PAST_PLANE, PAST_GRADED, PAST_GRADES };

struct grade_odds_past {
	struct spread spread;
	int64_t *k, *n;            /* by type */
	int64_t all_k, all_n;
};

void grade_odds_init(struct grade_odds *o, const struct house *house, const struct stock *s, int32_t today)
{
	const struct house_scheme *scheme = house ? house_scheme_on(house, today) : NULL;
	int32_t from = scheme && scheme->from != HOUSE_NO_DAY ? scheme->from : INT32_MIN;

	memset(o, 0, sizeof *o);
	o->ask = (struct grade_ask){ .by = { GRADE_BY_TYPE }, .nby = 1, .from = from, .to = today, .baseline = from };
	grade_mix_init(&o->mix, &o->ask, s, NULL);
	stages_init(&o->stages, s, house);
	o->stages.by_lot = false;
	intern_init(&o->types);
}

void grade_odds_release(struct grade_odds *o)
{
	for (size_t i = 0; i < o->npast; i++) {
		spread_release(&o->past[i].spread);
		free(o->past[i].k);
		free(o->past[i].n);
	}
	free(o->past);
	intern_release(&o->types);
	stages_release(&o->stages);
	grade_mix_release(&o->mix);
	memset(o, 0, sizeof *o);
}

void grade_odds_flow(void *context, const struct stock_flow *f)
{
	struct grade_odds *o = context;

	stages_flow(&o->stages, f);
	grade_mix_flow(&o->mix, f);
}

/* ---- the past */

static void add_past(struct grade_odds *o, size_t past, uint32_t type, uint32_t batch, int64_t k, int64_t n)
{
	struct grade_odds_past *p = &o->past[past];

	spread_add(&p->spread, type, batch, k, n);
	p->k[type] += k;
	p->n[type] += n;
	p->all_k += k;
	p->all_n += n;
}

/* Those that planing made to another type left theirs. */
static void add_cell(struct grade_odds *o, const struct stage_cell *c)
{
	int64_t through = c->n[STAGE_OUT], changed = c->step == STAGE_PLANE && c->n[STAGE_JOINED] < 0 ? -c->n[STAGE_JOINED] : 0;
	uint32_t type = intern_id(&o->types, stock_text(o->mix.stock, c->who.type));

	if (changed > through)
		changed = through;
	add_past(o, c->step == STAGE_KILN ? PAST_KILN : PAST_PLANE, type, c->who.charge, through - changed, through + c->n[STAGE_CULLED]);
}

/* Those that a grade line left without a grade will be looked at again. */
static void add_lot(struct grade_odds *o, size_t i)
{
	const struct grade_lot *lot = &o->mix.lot[i];
	uint32_t type = intern_id(&o->types, o->mix.group[lot->group].key[0]);
	int64_t none = grade_mix_lot_count(&o->mix, i, GRADE_NONE).now, n = lot->now - none;

	add_past(o, PAST_GRADED, type, lot->lot, n - grade_mix_lot_count(&o->mix, i, GRADE_CULLED).now, n);
	for (uint32_t grade = GRADE_NONE + 1; grade < o->mix.grades.n; grade++)
		add_past(o, PAST_GRADES + grade - GRADE_NONE - 1, type, lot->lot, grade_mix_lot_count(&o->mix, i, grade).now, n);
}

static bool is_step(const struct stage_cell *c)
{
	return c->step == STAGE_KILN || c->step == STAGE_PLANE;
}

static size_t count_types(struct grade_odds *o)
{
	for (size_t i = 0; i < grade_mix_groups(&o->mix); i++)
		intern_id(&o->types, o->mix.group[i].key[0]);
	for (size_t i = 0; i < o->stages.ncells; i++)
		if (is_step(&o->stages.cell[i]))
			intern_id(&o->types, stock_text(o->mix.stock, o->stages.cell[i].who.type));
	return o->types.n;
}

void grade_odds_end(struct grade_odds *o)
{
	size_t types;

	stages_end(&o->stages);
	types = count_types(o);
	o->npast = PAST_GRADES + o->mix.grades.n - GRADE_NONE - 1;
	o->past = mem_zeroed(o->npast, sizeof *o->past);
	for (size_t i = 0; i < o->npast; i++) {
		o->past[i].k = mem_zeroed(types, sizeof *o->past[i].k);
		o->past[i].n = mem_zeroed(types, sizeof *o->past[i].n);
	}
	for (size_t i = 0; i < o->stages.ncells; i++)
		if (is_step(&o->stages.cell[i]))
			add_cell(o, &o->stages.cell[i]);
	for (size_t i = 0; i < grade_mix_lots(&o->mix); i++)
		add_lot(o, i);
	for (size_t i = 0; i < o->npast; i++)
		spread_end(&o->past[i].spread, types, true);
}

/* ---- the odds */

bool grade_odds_known(const struct grade_odds *o)
{
	return o->npast && o->past[PAST_GRADED].all_n > 0;
}

struct moments {
	double mean, square;
};

/* k of n pieces of a type, beside those of the works. */
static struct moments moments_of(double k, double n, double works, double design, double correlation)
{
	double mean = (k + GRADE_ODDS_PRIOR * works) / (n + GRADE_ODDS_PRIOR), worth = n / design + GRADE_ODDS_PRIOR;
	double variance = mean * (1 - mean) * (correlation + (1 - correlation) / (worth + 1));

	return (struct moments){ mean, mean * mean + variance };
}

/* `outcomes`: how many the step has, with that of being culled. */
static struct moments step_moments(const struct grade_odds *o, size_t past, uint32_t type, double outcomes)
{
	const struct grade_odds_past *p = &o->past[past];
	double works = ((double)p->all_k + 0.5) / ((double)p->all_n + 0.5 * outcomes);
	uint32_t id = type == STOCK_ANY ? 0 : intern_find(&o->types, stock_text(o->mix.stock, type));

	if (type == STOCK_ANY)
		return moments_of((double)p->all_k, (double)p->all_n, works, p->spread.design_all, p->spread.all.correlation);
	if (!id)
		return moments_of(0, 0, works, 1, p->spread.all.correlation);
	return moments_of((double)p->k[id], (double)p->n[id], works, p->spread.design[id], p->spread.rows.correlation);
}

/* The index of the grade's past; npast for one that no blade got. */
static size_t grade_past(const struct grade_odds *o, uint32_t grade)
{
	uint32_t id = grade == STOCK_ANY ? 0 : intern_find(&o->mix.grades, stock_text(o->mix.stock, grade));

	if (grade == STOCK_ANY)
		return PAST_GRADED;
	return id > GRADE_NONE ? PAST_GRADES + id - GRADE_NONE - 1 : o->npast;
}

struct beta grade_odds_of(const struct grade_odds *o, uint32_t type, uint32_t grade, enum grade_odds_step step)
{
	size_t past = grade_past(o, grade);
	struct moments all, next;
	double outcomes = grade == STOCK_ANY ? 2 : (double)(o->npast - PAST_GRADES) + 1;

	if (past >= o->npast)
		return (struct beta){ 0, 1 };
	all = step_moments(o, past, type, outcomes);
	for (enum grade_odds_step before = step; before < GRADE_ODDS_GRADE; before++) {
		next = step_moments(o, before == GRADE_ODDS_KILN ? PAST_KILN : PAST_PLANE, type, 2);
		all = (struct moments){ all.mean * next.mean, all.square * next.square };
	}
	return beta_of(all.mean, sqrt(fmax(all.square - all.mean * all.mean, 0)));
}
