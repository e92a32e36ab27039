#include "grades/odd_lots.h"

#include <math.h>
#include <stdlib.h>

#include "grades/claims.h"
#include "grades/grade_mix.h"
#include "math/mix_shift.h"
#include "math/spread.h"

void odd_lots_init(struct odd_lots *o, const struct stock *s, int32_t from, int32_t to)
{
	*o = (struct odd_lots){ .stock = s, .from = from, .to = to, .end = INT32_MIN };
}

void odd_lots_release(struct odd_lots *o)
{
	free(o->lot);
	*o = (struct odd_lots){ .n = 0 };
}

size_t odd_lot_kinds(const struct odd_lot *lot)
{
	return lot->scheme->list.n + 1 < ODD_GRADES ? lot->scheme->list.n + 1 : ODD_GRADES;
}

/* ---- taking in */

static struct odd_lot *lot_of(struct odd_lots *o, uint32_t id, const struct house_scheme *scheme)
{
	for (size_t i = o->n; i-- > 0;)
		if (o->lot[i].id == id && o->lot[i].scheme == scheme)
			return &o->lot[i];
	o->lot = mem_grow(o->lot, &o->cap, o->n + 1, sizeof *o->lot);
	o->lot[o->n] = (struct odd_lot){ .id = id, .scheme = scheme, .p = NAN, .adjusted = NAN, .like_p = -1 };
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

static const struct claim_lot *claim_of(const struct claims *c, uint32_t id)
{
	for (size_t i = 0; i < c->n; i++)
		if (c->lot[i].id == id)
			return &c->lot[i];
	return NULL;
}

static void keep_claimed(struct odd_lots *o, const struct claims *c)
{
	size_t kept = 0;

	for (size_t i = 0; i < o->n; i++) {
		const struct claim_lot *claim = claim_of(c, o->lot[i].id);

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

/* ---- comparing */

/* Whether `other` is one of the lots of `supplier` that the lot is compared with. */
static bool is_peer(const struct odd_lot *lot, const struct odd_lot *other, struct slice supplier)
{
	return other != lot && !other->is_odd && other->scheme == lot->scheme && slice_eq(other->supplier, supplier);
}

static size_t count_peers(const struct odd_lots *o, const struct odd_lot *lot, struct slice supplier)
{
	size_t n = 0;

	for (size_t i = 0; i < o->n; i++)
		n += is_peer(lot, &o->lot[i], supplier);
	return n;
}

/* What a share of the lot and one of the others count less for, because lots differ; by the others alone. */
static double find_designs(const struct odd_lots *o, const struct odd_lot *lot, struct slice supplier, size_t grade, struct mix_part *part)
{
	struct spread spread = { 0 };
	double df = 0;

	for (size_t i = 0; i < o->n; i++)
		if (is_peer(lot, &o->lot[i], supplier))
			spread_add(&spread, 0, o->lot[i].id, o->lot[i].count[grade], o->lot[i].graded);
	spread_end(&spread, 1, true);
	part->design_a = 1 + (double)(lot->graded - 1) * spread.rows.correlation;
	part->design_b = spread.design[0];
	if (spread.rows.known)
		df = spread.rows.df;
	spread_release(&spread);
	return df;
}

/* Compares the lot with the other lots of a supplier, over the first `kinds` outcomes. */
static struct mix_shift compare(const struct odd_lots *o, const struct odd_lot *lot, struct slice supplier, size_t kinds, struct mix_part *part)
{
	double df = 0;

	for (size_t k = 0; k < kinds; k++) {
		part[k] = (struct mix_part){ .a = lot->count[k] };
		for (size_t i = 0; i < o->n; i++)
			part[k].b += is_peer(lot, &o->lot[i], supplier) ? o->lot[i].count[k] : 0;
		df = find_designs(o, lot, supplier, k, &part[k]);
	}
	return mix_shift_of(part, kinds, df);
}

static void compare_own(const struct odd_lots *o, struct odd_lot *lot)
{
	enum { PEERS_LEAST = 2 };
	struct mix_part part[ODD_GRADES];
	size_t kinds = odd_lot_kinds(lot);

	lot->p = NAN;
	lot->residual = 0;
	lot->others = 0;
	if (count_peers(o, lot, lot->supplier) < PEERS_LEAST)
		return;
	lot->p = compare(o, lot, lot->supplier, kinds, part).p;
	for (size_t k = 0; k < kinds; k++) {
		lot->other[k] = part[k].b;
		lot->others += part[k].b;
		if (!(fabs(part[k].residual) > fabs(lot->residual)))
			continue;
		lot->residual = part[k].residual;
		lot->grade = k;
	}
}

static void find_like(const struct odd_lots *o, struct odd_lot *lot)
{
	struct mix_part part[ODD_GRADES];

	for (size_t i = 0; i < o->n; i++) {
		double p;

		if ((i && slice_eq(o->lot[i].supplier, o->lot[i - 1].supplier)) || slice_eq(o->lot[i].supplier, lot->supplier))
			continue;
		p = compare(o, lot, o->lot[i].supplier, odd_lot_kinds(lot) - 1, part).p;
		if (p < 0.05 || isnan(p) || p <= lot->like_p)
			continue;
		lot->like = o->lot[i].supplier;
		lot->like_p = p;
	}
}

/* The oddest of the lots that are not yet known to be odd; NULL: none is beyond chance. `among` lots are compared. */
static struct odd_lot *next_odd(struct odd_lots *o, size_t among)
{
	struct odd_lot *found = NULL;

	for (size_t i = 0; i < o->n; i++) {
		struct odd_lot *lot = &o->lot[i];

		if (lot->is_odd)
			continue;
		compare_own(o, lot);
		lot->adjusted = fmin(1, lot->p * (double)among);
		if (lot->adjusted < 0.05 && (!found || lot->p < found->p))
			found = lot;
	}
	return found;
}

void odd_lots_end(struct odd_lots *o, const struct claims *c)
{
	struct odd_lot *odd;
	size_t among = 0;

	keep_claimed(o, c);
	if (o->n)
		qsort(o->lot, o->n, sizeof *o->lot, by_name);
	for (size_t i = 0; i < o->n; i++) {
		compare_own(o, &o->lot[i]);
		among += (size_t)!isnan(o->lot[i].p);
	}
	while ((odd = next_odd(o, among)))
		odd->is_odd = true;
	for (size_t i = 0; i < o->n; i++)
		if (o->lot[i].is_odd)
			find_like(o, &o->lot[i]);
}
