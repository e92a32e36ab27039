#include "grades/grade_odds.h"

#include <math.h>
#include <stdlib.h>

#include "house/house.h"
#include "math/spread.h"

enum { PAST_KILN, PAST_PLANE, PAST_GRADED, PAST_GRADES };

struct count {
	int64_t k, n;
};

struct grade_odds_past {
	struct spread spread;      /* its rows are the woods */
	struct count *wood, *type; /* by wood - 1, by type */
	struct count all;
};

void grade_odds_init(struct grade_odds *o, const struct house *house, const struct stock *s, const struct provenance *origins, int32_t today)
{
	const struct house_scheme *scheme = house ? house_scheme_on(house, today) : NULL;
	int32_t from = scheme && scheme->from != HOUSE_NO_DAY ? scheme->from : INT32_MIN;

	memset(o, 0, sizeof *o);
	o->ask = (struct grade_ask){ .by = { GRADE_BY_TYPE }, .nby = 1, .from = from, .to = today, .baseline = from };
	grade_mix_init(&o->mix, &o->ask, s, NULL);
	stages_init(&o->stages, s, house);
	o->stages.until = STAGE_GRADE;
	o->stages.stays_kept = false;
	o->origins = origins;
	intern_init(&o->types);
	intern_init(&o->woods);
}

void grade_odds_release(struct grade_odds *o)
{
	for (size_t i = 0; i < o->npast; i++) {
		spread_release(&o->past[i].spread);
		free(o->past[i].wood);
		free(o->past[i].type);
	}
	free(o->past);
	intern_release(&o->types);
	intern_release(&o->woods);
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

uint32_t grade_odds_source(const struct grade_odds *o, uint32_t lot)
{
	uint32_t parcel = provenance_key(o->origins, lot, PROVENANCE_PARCEL), supplier = provenance_key(o->origins, lot, PROVENANCE_SUPPLIER);

	if (parcel && parcel != PROVENANCE_MIXED)
		return parcel;
	return supplier == PROVENANCE_MIXED ? 0 : supplier;
}

/* ---- the past */

static struct slice wood_bytes(const struct grade_odds_wood *wood)
{
	return (struct slice){ (const char *)wood, sizeof *wood };
}

/* The number of the wood of that type, in `types`, and lot. */
static uint32_t wood_id(struct grade_odds *o, struct slice type, uint32_t lot)
{
	const struct grade_odds_wood wood = { intern_id(&o->types, type), grade_odds_source(o, lot) };

	return intern_id(&o->woods, wood_bytes(&wood));
}

static void add_past(struct grade_odds *o, size_t past, uint32_t wood, uint32_t batch, int64_t k, int64_t n)
{
	struct grade_odds_past *p = &o->past[past];
	struct grade_odds_wood of;

	memcpy(&of, intern_text(&o->woods, wood).p, sizeof of);
	spread_add(&p->spread, wood - 1, batch, k, n);
	p->wood[wood - 1].k += k;
	p->wood[wood - 1].n += n;
	p->type[of.type].k += k;
	p->type[of.type].n += n;
	p->all.k += k;
	p->all.n += n;
}

/* Those that planing made to another type left theirs. */
static void add_cell(struct grade_odds *o, const struct stage_cell *c)
{
	int64_t through = c->n[STAGE_OUT], changed = c->step == STAGE_PLANE && c->n[STAGE_JOINED] < 0 ? -c->n[STAGE_JOINED] : 0;
	uint32_t wood = wood_id(o, stock_text(o->mix.stock, c->who.type), c->who.lot);

	if (changed > through)
		changed = through;
	add_past(o, c->step == STAGE_KILN ? PAST_KILN : PAST_PLANE, wood, c->who.charge, through - changed, through + c->n[STAGE_CULLED]);
}

/* Those that a grade line left without a grade will be looked at again. */
static void add_lot(struct grade_odds *o, size_t i)
{
	const struct grade_lot *lot = &o->mix.lot[i];
	uint32_t wood = wood_id(o, o->mix.group[lot->group].key[0], lot->lot);
	int64_t none = grade_mix_lot_count(&o->mix, i, GRADE_NONE).now, n = lot->now - none;

	add_past(o, PAST_GRADED, wood, lot->lot, n - grade_mix_lot_count(&o->mix, i, GRADE_CULLED).now, n);
	for (uint32_t grade = GRADE_NONE + 1; grade < o->mix.grades.n; grade++)
		add_past(o, PAST_GRADES + grade - GRADE_NONE - 1, wood, lot->lot, grade_mix_lot_count(&o->mix, i, grade).now, n);
}

static bool is_step(const struct stage_cell *c)
{
	return c->step == STAGE_KILN || c->step == STAGE_PLANE;
}

static void name_woods(struct grade_odds *o)
{
	for (size_t i = 0; i < grade_mix_lots(&o->mix); i++)
		wood_id(o, o->mix.group[o->mix.lot[i].group].key[0], o->mix.lot[i].lot);
	for (size_t i = 0; i < o->stages.ncells; i++)
		if (is_step(&o->stages.cell[i]))
			wood_id(o, stock_text(o->mix.stock, o->stages.cell[i].who.type), o->stages.cell[i].who.lot);
}

void grade_odds_end(struct grade_odds *o)
{
	stages_end(&o->stages);
	name_woods(o);
	o->npast = PAST_GRADES + o->mix.grades.n - GRADE_NONE - 1;
	o->past = mem_zeroed(o->npast, sizeof *o->past);
	for (size_t i = 0; i < o->npast; i++) {
		o->past[i].wood = mem_zeroed(o->woods.n, sizeof *o->past[i].wood);
		o->past[i].type = mem_zeroed(o->types.n, sizeof *o->past[i].type);
	}
	for (size_t i = 0; i < o->stages.ncells; i++)
		if (is_step(&o->stages.cell[i]))
			add_cell(o, &o->stages.cell[i]);
	for (size_t i = 0; i < grade_mix_lots(&o->mix); i++)
		add_lot(o, i);
	for (size_t i = 0; i < o->npast; i++)
		spread_end(&o->past[i].spread, o->woods.n - 1, true);
}

/* ---- the odds */

bool grade_odds_known(const struct grade_odds *o)
{
	return o->npast && o->past[PAST_GRADED].all.n > 0;
}

struct moments {
	double mean, square;
};

/* Of pieces whose mean is known as from `worth` pieces. */
static struct moments moments_of(double mean, double worth, double correlation)
{
	double variance = mean * (1 - mean) * (correlation + (1 - correlation) / (worth + 1));

	return (struct moments){ mean, mean * mean + variance };
}

/* k of n pieces, and GRADE_ODDS_PRIOR more that are as usual. */
static double with_usual(struct count c, double usual)
{
	return ((double)c.k + GRADE_ODDS_PRIOR * usual) / ((double)c.n + GRADE_ODDS_PRIOR);
}

/* `outcomes`: how many the step has, with that of being culled. */
static struct moments step_moments(const struct grade_odds *o, size_t past, struct grade_odds_wood wood, double outcomes, double batches)
{
	const struct grade_odds_past *p = &o->past[past];
	double works = ((double)p->all.k + 0.5) / ((double)p->all.n + 0.5 * outcomes), usual = works;
	struct grade_odds_wood key = { 0, wood.source };
	struct count type = p->all;
	uint32_t id;

	if (wood.type != STOCK_ANY) {
		key.type = intern_find(&o->types, stock_text(o->mix.stock, wood.type));
		type = key.type ? p->type[key.type] : (struct count){ 0, 0 };
		usual = with_usual(type, works);
	}
	id = wood.type == STOCK_ANY ? 0 : intern_find(&o->woods, wood_bytes(&key));
	if (id && wood.source)
		return moments_of(with_usual(p->wood[id - 1], usual), (double)p->wood[id - 1].n / p->spread.design[id - 1] + GRADE_ODDS_PRIOR,
			p->spread.rows.correlation / batches);
	return moments_of(usual, (double)type.n / p->spread.design_all + GRADE_ODDS_PRIOR, p->spread.all.correlation / batches);
}

/* The index of the grade's past; npast for one that no blade got. */
static size_t grade_past(const struct grade_odds *o, uint32_t grade)
{
	uint32_t id = grade == STOCK_ANY ? 0 : intern_find(&o->mix.grades, stock_text(o->mix.stock, grade));

	if (grade == STOCK_ANY)
		return PAST_GRADED;
	return id > GRADE_NONE ? PAST_GRADES + id - GRADE_NONE - 1 : o->npast;
}

struct beta grade_odds_of(const struct grade_odds *o, struct grade_odds_wood wood, uint32_t grade, enum grade_odds_step step)
{
	return grade_odds_of_batches(o, wood, grade, step, 1);
}

struct beta grade_odds_of_batches(const struct grade_odds *o, struct grade_odds_wood wood, uint32_t grade, enum grade_odds_step step, double batches)
{
	size_t past = grade_past(o, grade);
	struct moments all, next;
	double outcomes = grade == STOCK_ANY ? 2 : (double)(o->npast - PAST_GRADES) + 1;

	if (past >= o->npast)
		return (struct beta){ 0, 1 };
	all = step_moments(o, past, wood, outcomes, batches);
	for (enum grade_odds_step before = step; before < GRADE_ODDS_GRADE; before++) {
		next = step_moments(o, before == GRADE_ODDS_KILN ? PAST_KILN : PAST_PLANE, wood, 2, batches);
		all = (struct moments){ all.mean * next.mean, all.square * next.square };
	}
	return beta_of(all.mean, sqrt(fmax(all.square - all.mean * all.mean, 0)));
}
