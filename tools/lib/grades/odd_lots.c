#include "grades/odd_lots.h"

#include <math.h>
#include <stdlib.h>

#include "grades/claims.h"
#include "grades/grade_mix.h"
#include "math/lots_alike.h"
#include "math/mix_shift.h"

/* The lots of one supplier under one scheme; odd ones are taken out. */
struct odd_group {
	struct slice supplier;
	const struct house_scheme *scheme;
	size_t first, lots;                    /* the first one in odd_lots, and how many there are */
	int64_t count[ODD_GRADES];
	struct lots_alike alike[ODD_GRADES];   /* by rank */
	struct spread_found found[ODD_GRADES]; /* of all its lots, once no more are taken out */
};

/* By supplier. `of` is by lot. */
struct odd_groups {
	struct odd_group *group;
	size_t n, cap, *of;
};

void odd_lots_init(struct odd_lots *o, const struct stock *s, int32_t from, int32_t to)
{
	*o = (struct odd_lots){ .stock = s, .from = from, .to = to, .end = INT32_MIN };
}

void odd_lots_release(struct odd_lots *o)
{
	free(o->lot);
	hash_index_release(&o->index);
	*o = (struct odd_lots){ .n = 0 };
}

size_t odd_lot_kinds(const struct odd_lot *lot)
{
	return lot->scheme->list.n + 1 < ODD_GRADES ? lot->scheme->list.n + 1 : ODD_GRADES;
}

/* ---- taking in */

static struct odd_lot *lot_of(struct odd_lots *o, uint32_t id, const struct house_scheme *scheme)
{
	uint64_t hash = hash_near(id, (uintptr_t)scheme);
	struct hash_probe p = hash_probe_of(&o->index, hash);

	while (hash_probe_next(&o->index, &p))
		if (o->lot[p.row].id == id && o->lot[p.row].scheme == scheme)
			return &o->lot[p.row];
	o->lot = mem_grow(o->lot, &o->cap, o->n + 1, sizeof *o->lot);
	o->lot[o->n] = (struct odd_lot){ .id = id, .scheme = scheme, .p = NAN, .adjusted = NAN, .like_p = -1 };
	hash_index_add(&o->index, hash, (uint32_t)o->n);
	return &o->lot[o->n++];
}

/* The place of what the blades got, or -1 where the scheme lacks it. */
static int place_of(const struct odd_lots *o, const struct stock_flow *f, const struct odd_lot *lot)
{
	const struct house *house = o->stock->house;
	int kinds = (int)odd_lot_kinds(lot), rank;

	if (f->change == STOCK_LOST)
		return kinds - 1;
	rank = house_grade_rank(house, lot->scheme->from, house_grade_joined(house, f->op->day, o->end, stock_text(o->stock, f->to.grade)));
	return rank < kinds - 1 ? rank : kinds - 2;
}

void odd_lots_flow(void *context, const struct stock_flow *f)
{
	struct odd_lots *o = context;
	const struct house_scheme *scheme;
	struct odd_lot *lot;
	int place;

	if (f->op->event->id != EVENT_GRADE || (f->change != STOCK_GONE_ON && f->change != STOCK_LOST) || f->from.grade ||
		f->op->day < o->from || f->op->day > o->to)
		return;
	if (o->end == INT32_MIN)
		o->end = grade_last_day(o->stock, o->to);
	scheme = house_scheme_joined(o->stock->house, f->op->day, o->end);
	if (!scheme)
		return;
	lot = lot_of(o, f->from.lot, scheme);
	place = place_of(o, f, lot);
	if (place < 0)
		return;
	lot->count[place] += f->n;
	lot->graded += f->n;
}

/* ---- whose lots they are */

static void keep_claimed(struct odd_lots *o, const struct claims *c)
{
	size_t kept = 0;

	for (size_t i = 0; i < o->n; i++) {
		const struct claim_lot *claim = claims_lot(c, o->lot[i].id);

		if (!claim || !o->lot[i].graded)
			continue;
		o->lot[kept] = o->lot[i];
		o->lot[kept].supplier = claim->supplier;
		o->lot[kept++].lot = claim->lot;
	}
	o->n = kept;
}

static int by_name(const void *x, const void *y)
{
	const struct odd_lot *a = x, *b = y;
	int order = slice_cmp(a->supplier, b->supplier);

	order = order ? order : slice_cmp(a->lot, b->lot);
	return order ? order : (a->scheme > b->scheme) - (a->scheme < b->scheme);
}

/* ---- the groups */

/* Lots of one supplier follow each other. */
static size_t group_of(struct odd_groups *g, const struct odd_lot *lot, size_t first)
{
	for (size_t i = g->n; i-- > 0 && slice_eq(g->group[i].supplier, lot->supplier);)
		if (g->group[i].scheme == lot->scheme)
			return i;
	g->group = mem_grow(g->group, &g->cap, g->n + 1, sizeof *g->group);
	g->group[g->n] = (struct odd_group){ .supplier = lot->supplier, .scheme = lot->scheme, .first = first };
	return g->n++;
}

static void put_lot(struct odd_group *g, const struct odd_lot *lot)
{
	g->lots++;
	for (size_t k = 0; k < odd_lot_kinds(lot); k++) {
		g->count[k] += lot->count[k];
		lots_alike_put(&g->alike[k], lot->count[k], lot->graded);
	}
}

static void take_lot(struct odd_group *g, const struct odd_lot *lot)
{
	g->lots--;
	for (size_t k = 0; k < odd_lot_kinds(lot); k++) {
		g->count[k] -= lot->count[k];
		lots_alike_take(&g->alike[k], lot->count[k], lot->graded);
	}
}

static void make_groups(struct odd_groups *g, const struct odd_lots *o)
{
	*g = (struct odd_groups){ .of = mem_array(o->n + 1, sizeof *g->of) };
	for (size_t i = 0; i < o->n; i++) {
		g->of[i] = group_of(g, &o->lot[i], i);
		put_lot(&g->group[g->of[i]], &o->lot[i]);
	}
}

static void find_spreads(struct odd_group *g, size_t kinds)
{
	for (size_t k = 0; k < kinds; k++)
		g->found[k] = lots_alike_find(&g->alike[k]);
}

static void groups_release(struct odd_groups *g)
{
	for (size_t i = 0; i < g->n; i++)
		for (size_t k = 0; k < ODD_GRADES; k++)
			lots_alike_release(&g->group[i].alike[k]);
	free(g->group);
	free(g->of);
}

/* ---- comparing */

/* Compares the lot with those of a group over the first `kinds` outcomes. How much lots differ is found from the group. */
static struct mix_shift compare(const struct odd_lot *lot, const struct odd_group *g, size_t kinds, struct mix_part *part)
{
	double df = 0;

	for (size_t k = 0; k < kinds; k++) {
		double correlation = g->found[k].correlation;

		part[k] = (struct mix_part){ .a = lot->count[k], .b = g->count[k] };
		part[k].design_a = 1 + (double)(lot->graded - 1) * correlation;
		part[k].design_b = lots_alike_design(&g->alike[k], correlation);
		df = g->found[k].known ? g->found[k].df : 0;
	}
	return mix_shift_of(part, kinds, df);
}

/* `g` is the lot's own group, without the lot. */
static void compare_own(struct odd_lot *lot, struct odd_group *g)
{
	enum { PEERS_LEAST = 2 };
	struct mix_part part[ODD_GRADES];
	size_t kinds = odd_lot_kinds(lot);

	lot->p = NAN;
	lot->residual = 0;
	lot->others = 0;
	if (g->lots < PEERS_LEAST)
		return;
	find_spreads(g, kinds);
	lot->p = compare(lot, g, kinds, part).p;
	for (size_t k = 0; k < kinds; k++) {
		lot->other[k] = part[k].b;
		lot->others += part[k].b;
		if (!(fabs(part[k].residual) > fabs(lot->residual)))
			continue;
		lot->residual = part[k].residual;
		lot->grade = k;
	}
}

/* Compares all lots of a group that are not odd with the group's others. */
static void compare_group(struct odd_lots *o, struct odd_groups *g, size_t at)
{
	struct odd_group *group = &g->group[at];

	for (size_t i = group->first; i < o->n && slice_eq(o->lot[i].supplier, group->supplier); i++) {
		if (g->of[i] != at || o->lot[i].is_odd)
			continue;
		take_lot(group, &o->lot[i]);
		compare_own(&o->lot[i], group);
		put_lot(group, &o->lot[i]);
	}
}

static void find_like(const struct odd_groups *g, struct odd_lot *lot)
{
	struct mix_part part[ODD_GRADES];

	for (size_t i = 0; i < g->n; i++) {
		double p;

		if (g->group[i].scheme != lot->scheme || slice_eq(g->group[i].supplier, lot->supplier))
			continue;
		p = compare(lot, &g->group[i], odd_lot_kinds(lot) - 1, part).p;
		if (p < 0.05 || isnan(p) || p <= lot->like_p)
			continue;
		lot->like = g->group[i].supplier;
		lot->like_p = p;
	}
}

/* The oddest of the lots that are not yet known to be odd, or o->n: none is beyond chance. `among` lots are compared. */
static size_t next_odd(struct odd_lots *o, size_t among)
{
	size_t found = o->n;

	for (size_t i = 0; i < o->n; i++) {
		struct odd_lot *lot = &o->lot[i];

		if (lot->is_odd)
			continue;
		lot->adjusted = fmin(1, lot->p * (double)among);
		if (lot->adjusted < 0.05 && (found == o->n || lot->p < o->lot[found].p))
			found = i;
	}
	return found;
}

static void find_odd(struct odd_lots *o, struct odd_groups *g)
{
	size_t among = 0, odd;

	for (size_t i = 0; i < g->n; i++)
		compare_group(o, g, i);
	for (size_t i = 0; i < o->n; i++)
		among += (size_t)!isnan(o->lot[i].p);
	while ((odd = next_odd(o, among)) < o->n) {
		o->lot[odd].is_odd = true;
		take_lot(&g->group[g->of[odd]], &o->lot[odd]);
		compare_group(o, g, g->of[odd]);
	}
}

void odd_lots_end(struct odd_lots *o, const struct claims *c)
{
	struct odd_groups groups;

	keep_claimed(o, c);
	if (o->n)
		qsort(o->lot, o->n, sizeof *o->lot, by_name);
	make_groups(&groups, o);
	find_odd(o, &groups);
	for (size_t i = 0; i < groups.n; i++)
		find_spreads(&groups.group[i], ODD_GRADES);
	for (size_t i = 0; i < o->n; i++)
		if (o->lot[i].is_odd)
			find_like(&groups, &o->lot[i]);
	groups_release(&groups);
}
