#include "grades/drift.h"

#include <math.h>
#include <stdlib.h>

#include "grades/grade_mix.h"

void drift_init(struct drift *d, const struct stock *s, const struct provenance *origins, int32_t from, int32_t to, int32_t cut)
{
	*d = (struct drift){ .stock = s, .origins = origins, .from = from, .to = to, .cut = cut, .end = grade_last_day(s, to) };
}

void drift_release(struct drift *d)
{
	for (size_t i = 0; i < d->ngraders; i++)
		free(d->grader[i].before);
	free(d->grader);
	free(d->count);
	*d = (struct drift){ .n = 0 };
}

/* ---- taking in */

/* The rank of what the flow's blades got in the scheme as which it counts, or -1. */
static int rank_of(const struct drift *d, const struct stock_flow *f, const struct house_scheme *scheme)
{
	struct slice grade;

	if (f->change == STOCK_LOST)
		return (int)scheme->list.n;
	grade = house_grade_joined(d->stock->house, f->op->day, d->end, stock_text(d->stock, f->to.grade));
	return house_grade_rank(d->stock->house, scheme->from, grade);
}

void drift_flow(void *context, const struct stock_flow *f)
{
	struct drift *d = context;
	const struct house *house = d->stock->house;
	const struct house_scheme *scheme;
	int rank = -1;

	if (f->op->event->id != EVENT_GRADE || (f->change != STOCK_GONE_ON && f->change != STOCK_LOST) || f->from.grade ||
		f->op->day < d->from || f->op->day > d->to)
		return;
	scheme = house_scheme_joined(house, f->op->day, d->end);
	if (scheme)
		rank = rank_of(d, f, scheme);
	if (rank < 0 || !f->op->by) {
		*(rank < 0 ? &d->strange : &d->nameless) += f->n;
		return;
	}
	d->count = mem_grow(d->count, &d->cap, d->n + 1, sizeof *d->count);
	d->count[d->n++] = (struct drift_count){ (size_t)(scheme - house->schemes), f->op->by, f->from.lot, f->op->day, rank, f->n };
}

/* ---- graders */

static const struct stock *sorted_stock; /* of by_grader(); qsort() hands no context through */

static int order(int64_t a, int64_t b)
{
	return (a > b) - (a < b);
}

static int by_id(uint32_t a, uint32_t b)
{
	return a == b ? 0 : slice_cmp(stock_text(sorted_stock, a), stock_text(sorted_stock, b));
}

static int by_grader(const void *x, const void *y)
{
	const struct drift_count *a = x, *b = y;
	int o = order((int64_t)a->scheme, (int64_t)b->scheme);

	o = o ? o : by_id(a->by, b->by);
	o = o ? o : order(a->day, b->day);
	o = o ? o : by_id(a->lot, b->lot);
	o = o ? o : order(a->rank, b->rank);
	return o ? o : order(a->n, b->n);
}

/* The first day with at least half of the blades before it; of one day only, DRIFT_NO_CUT. */
static int32_t middle_day(const struct drift_count *count, size_t n)
{
	int64_t all = 0, before = 0;

	for (size_t i = 0; i < n; i++)
		all += count[i].n;
	for (size_t i = 0; i < n; i++) {
		if (i && count[i].day > count[i - 1].day && 2 * before >= all)
			return count[i].day;
		before += count[i].n;
	}
	/* the last day has more than half */
	for (size_t i = n; i-- > 1;)
		if (count[i].day > count[i - 1].day)
			return count[i].day;
	return DRIFT_NO_CUT;
}

/* ---- origins */

/* Blades of one lot in one period, by the lot's origin. */
struct placed {
	uint32_t supplier, parcel, lot;
	bool after;
	int rank;
	int64_t n;
};

/* By names, for the ids depend on the order of lines. */
static int by_origin(const void *x, const void *y)
{
	const struct placed *a = x, *b = y;
	int o = by_id(a->supplier, b->supplier);

	o = o ? o : by_id(a->parcel, b->parcel);
	o = o ? o : order(a->after, b->after);
	o = o ? o : by_id(a->lot, b->lot);
	o = o ? o : order(a->rank, b->rank);
	return o ? o : order(a->n, b->n);
}

static bool is_of_one_origin(const struct placed *a, const struct placed *b)
{
	return a->supplier == b->supplier && a->parcel == b->parcel;
}

/* Whether the lot's origin is known. */
static bool place(const struct drift *d, const struct drift_count *c, int32_t cut, struct placed *p)
{
	*p = (struct placed){ provenance_key(d->origins, c->lot, PROVENANCE_SUPPLIER), provenance_key(d->origins, c->lot, PROVENANCE_PARCEL), c->lot,
		c->day >= cut, c->rank, c->n };
	return p->supplier != PROVENANCE_MIXED && p->parcel != PROVENANCE_MIXED && (p->supplier || p->parcel);
}

static size_t merge_lots(const struct placed *p, size_t n, struct stratified_lot *lot)
{
	size_t lots = 0;
	uint32_t stratum = 0;

	for (size_t i = 0; i < n; i++) {
		double rank = (double)p[i].rank, pieces = (double)p[i].n;

		stratum += i && !is_of_one_origin(&p[i], &p[i - 1]);
		if (!i || lot[lots - 1].stratum != stratum || lot[lots - 1].after != p[i].after || p[i].lot != p[i - 1].lot)
			lot[lots++] = (struct stratified_lot){ .stratum = stratum, .after = p[i].after };
		lot[lots - 1].n += p[i].n;
		lot[lots - 1].sum += pieces * rank;
		lot[lots - 1].squares += pieces * rank * rank;
	}
	return lots;
}

/* The shares of one origin's wood, weighted as stratified_shift.h weighs the origins. Returns the weight. */
static double add_shares(const struct placed *p, size_t n, struct drift_grader *g)
{
	double before = 0, after = 0, weight;

	for (size_t i = 0; i < n; i++)
		*(p[i].after ? &after : &before) += (double)p[i].n;
	if (!(before > 0) || !(after > 0))
		return 0;
	weight = before * after / (before + after);
	for (size_t i = 0; i < n; i++)
		(p[i].after ? g->after : g->before)[p[i].rank] += weight * (double)p[i].n / (p[i].after ? after : before);
	return weight;
}

static void find_shares(const struct placed *p, size_t n, struct drift_grader *g)
{
	double weight = 0;
	size_t k = g->scheme->list.n + 1;

	g->before = mem_zeroed(2 * k, sizeof *g->before);
	g->after = g->before + k;
	for (size_t first = 0, end; first < n; first = end) {
		for (end = first + 1; end < n && is_of_one_origin(&p[first], &p[end]);)
			end++;
		weight += add_shares(p + first, end - first, g);
	}
	for (size_t i = 0; i < 2 * k && weight > 0; i++)
		g->before[i] /= weight;
}

static double plain_shift(const struct drift_count *count, size_t n, int32_t cut)
{
	double sum[2] = { 0, 0 }, pieces[2] = { 0, 0 };

	for (size_t i = 0; i < n; i++) {
		bool after = count[i].day >= cut;

		sum[after] += (double)count[i].n * count[i].rank;
		pieces[after] += (double)count[i].n;
	}
	return sum[1] / pieces[1] - sum[0] / pieces[0];
}

static void compare(const struct drift *d, const struct drift_count *count, size_t n, struct drift_grader *g)
{
	struct placed *p = mem_array(n, sizeof *p);
	struct stratified_lot *lot = mem_array(n, sizeof *lot);
	size_t placed = 0;

	for (size_t i = 0; i < n; i++) {
		g->apart += count[i].n;
		placed += place(d, &count[i], g->cut, &p[placed]);
	}
	qsort(p, placed, sizeof *p, by_origin);
	g->shift = stratified_shift_of(lot, merge_lots(p, placed, lot));
	g->apart -= g->shift.before + g->shift.after;
	g->plain = plain_shift(count, n, g->cut);
	find_shares(p, placed, g);
	free(lot);
	free(p);
}

/* ---- all of them */

static void add_grader(struct drift *d, const struct drift_count *count, size_t n)
{
	struct drift_grader *g = &d->grader[d->ngraders];
	int32_t first = count[0].day, last = count[n - 1].day, cut = d->cut == DRIFT_NO_CUT ? middle_day(count, n) : d->cut;

	if (cut <= first || cut > last)
		return;
	*g = (struct drift_grader){ .scheme = &d->stock->house->schemes[count->scheme], .by = stock_text(d->stock, count->by), .first = first, .cut = cut,
		.last = last };
	compare(d, count, n, g);
	d->ngraders++;
}

static void judge(struct drift *d)
{
	size_t among = 0;

	for (size_t i = 0; i < d->ngraders; i++)
		among += (size_t)!isnan(d->grader[i].shift.p);
	for (size_t i = 0; i < d->ngraders; i++)
		d->grader[i].has_moved = d->grader[i].shift.p * (double)among < 0.05;
}

void drift_end(struct drift *d)
{
	sorted_stock = d->stock;
	if (d->n)
		qsort(d->count, d->n, sizeof *d->count, by_grader);
	d->grader = mem_zeroed(d->n + 1, sizeof *d->grader);
	for (size_t first = 0, end; first < d->n; first = end) {
		for (end = first + 1; end < d->n && d->count[end].by == d->count[first].by && d->count[end].scheme == d->count[first].scheme;)
			end++;
		add_grader(d, d->count + first, end - first);
	}
	judge(d);
}
