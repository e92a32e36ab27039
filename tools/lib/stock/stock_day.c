#include <stdlib.h>

#include "stock/stock_doubt.h"
#include "stock/stock_internal.h"
#include "stock/stock_key.h"
#include "stock/stock_search.h"

/*
 * A day's lines fall into knots that share no lot and no charge, which is quick to see, and most knots
 * work in the order of their keys. One that does not falls into the groups of clause 7.3, and each of
 * them is ordered by itself.
 */
enum { GROUPS_MOST = 8192 }; /* lines of the largest knot that is taken apart */

struct knot_op {
	uint32_t op, root;
};

struct span {
	uint32_t first, n;
};

struct stock_days {
	struct knot_op *knot;   /* the day's ops with their roots */
	size_t knots_cap;
	uint32_t *parent;       /* union-find over the day's ops, or over a knot's */
	size_t parents_cap;
	uint32_t *at;           /* by root, where its ops go */
	size_t at_cap;
	uint32_t *op, *spare;   /* the knot in hand, sorted by key */
	size_t ops_cap, spare_cap;
	uint32_t mark;
	struct stock_reaches reaches;   /* of the knot in hand */
	struct stock_reach *reach;
	struct span *lots;      /* by line of the knot: the lots of its charge, in `lot` */
	uint32_t *lot;
	size_t reach_cap, lots_cap, nlots, lot_cap;
	uint32_t *group;        /* a group's ops, */
	struct stock_reach *group_reach;
	struct span *group_lots;
	size_t group_cap, group_reach_cap, group_lots_cap;
};

struct stock_days *stock_days_new(void)
{
	return mem_zeroed(1, sizeof(struct stock_days));
}

void stock_days_free(struct stock_days *d)
{
	free(d->knot);
	free(d->parent);
	free(d->at);
	free(d->op);
	free(d->spare);
	stock_reaches_release(&d->reaches);
	free(d->reach);
	free(d->lots);
	free(d->lot);
	free(d->group);
	free(d->group_reach);
	free(d->group_lots);
	free(d);
}

/* ---- applying */

static bool attempt(struct stock *s, uint32_t op)
{
	struct stock_fault fault;
	bool done;

	s->state->telling = TELL_NOW;
	done = stock_apply(s, op, &fault);
	s->state->telling = TELL_NOT;
	if (done && s->state->nfaults)
		stock_doubt_follow(s, &s->op[op]);
	s->state->nundos = 0;
	return done;
}

/*
 * Keeps a fault, or counts it under the one that made something doubtful which the line names (index + 1,
 * or 0). Returns the index + 1 of that in which it is.
 */
static uint32_t keep_fault(struct stock *s, const struct stock_fault *fault, uint32_t index)
{
	struct stock_state *r = s->state;

	if (index) {
		r->fault[index - 1].later++;
		return index;
	}
	r->fault = mem_grow(r->fault, &r->faults_cap, r->nfaults + 1, sizeof *r->fault);
	r->fault[r->nfaults] = *fault;
	r->fault[r->nfaults].at_log = s->op[fault->op].at_log;
	return (uint32_t)++r->nfaults;
}

/* ---- a group */

/* Of the lines that may come next, the first to which no other of them gives, or else the first. */
static uint32_t find_culprit(const struct stock *s, const struct stock_search *g)
{
	uint32_t first = stock_search_candidate(s, g, 0);

	for (uint32_t x = first; x != UINT32_MAX; x = stock_search_candidate(s, g, x + 1)) {
		uint32_t y = first;

		while (y != UINT32_MAX && (y == x || !stock_reach_gives(g->all, &g->reach[y], &g->reach[x])))
			y = stock_search_candidate(s, g, y + 1);
		if (y == UINT32_MAX)
			return x;
	}
	return first;
}

/* Where no line can be applied any more: which one cannot, and why. Hints are made later, from the state in hand. */
static uint32_t culprit(struct stock *s, const struct stock_search *g, struct stock_fault *fault)
{
	uint32_t at = find_culprit(s, g);

	stock_apply(s, g->op[at], fault);
	return at;
}

static bool times_are_to_blame(struct stock *s, struct stock_search *g)
{
	enum stock_found found;

	g->free_times = true;
	found = stock_search_any(s, g);
	g->free_times = false;
	return found == ORDER_FOUND;
}

static void apply_order(struct stock *s, const struct stock_search *g)
{
	for (size_t i = 0; i < g->ordered; i++)
		attempt(s, g->op[g->order[i]]);
}

static void doubt_line(struct stock *s, const struct stock_days *d, const struct stock_search *g, uint32_t at, uint32_t fault)
{
	const struct span *lots = &d->group_lots[at];

	stock_doubt_all(s, &s->op[g->op[at]], d->lot + lots->first, lots->n, fault);
	s->state->nundos = 0; /* this is not a trial */
}

/* The search was too long: what can be applied is, and the rest is doubtful under one warning. */
static void leave_undecided(struct stock *s, const struct stock_days *d, struct stock_search *g, struct stock_fault *fault, uint32_t index)
{
	stock_search_greedy(s, g);
	stock_search_back(s, g);
	apply_order(s, g);
	for (size_t i = 0; i < g->ordered; i++)
		stock_search_set_aside(g, g->order[i]);
	fault->why = WHY_UNDECIDED;
	fault->hint_n = 0;
	index = keep_fault(s, fault, index);
	for (uint32_t i = 0; i < g->n; i++)
		if (!g->done[i])
			doubt_line(s, d, g, i, index);
}

/*
 * Finds the order of a group and applies it. Lines that cannot be applied are set aside one by one; one that lacks only a
 * handle that fits takes another one.
 */
static void order_group(struct stock *s, struct stock_days *d, struct stock_search *g)
{
	while (!stock_search_greedy(s, g)) {
		struct stock_fault fault;
		uint32_t at = culprit(s, g, &fault), doubt = stock_doubt_of(s, &s->op[fault.op]);
		enum stock_found found;

		if (!doubt)
			stock_hint(s, &fault);
		stock_search_back(s, g);
		found = stock_search_first(s, g);
		if (found == ORDER_FOUND) {
			apply_order(s, g);
			return;
		}
		if (fault.why == WHY_MISFIT) {
			s->op[fault.op].misfits = true;
			continue;
		}
		if (found == ORDER_UNKNOWN) {
			leave_undecided(s, d, g, &fault, doubt);
			return;
		}
		fault.order = times_are_to_blame(s, g);
		doubt_line(s, d, g, at, keep_fault(s, &fault, doubt));
		stock_search_set_aside(g, at);
	}
	stock_search_back(s, g);
	apply_order(s, g);
}

static void run_group(struct stock *s, struct stock_days *d, size_t n)
{
	struct stock_search g;

	stock_search_init(&g, s, d->group, n, &d->reaches, d->group_reach);
	s->state->hashing = true;
	order_group(s, d, &g);
	s->state->hashing = false;
	stock_search_release(&g);
}

/* ---- a knot */

/* All lines in the order of their keys, when that works, which it mostly does. */
static bool straight(struct stock *s, const struct stock_days *d, size_t n)
{
	struct stock_fault fault;
	size_t i = 0;

	s->state->telling = TELL_HOLD;
	while (i < n && stock_apply(s, d->op[i], &fault))
		i++;
	s->state->telling = TELL_NOT;
	if (i < n || s->state->nfaults) {
		stock_undo(s, 0);
		s->state->nheld = 0;
		for (size_t k = 0; i == n && k < n; k++)
			attempt(s, d->op[k]);
		return i == n;
	}
	s->state->nundos = 0;
	stock_tell_held(s);
	return true;
}

static int by_number(const void *a, const void *b)
{
	const uint32_t *x = a, *y = b;

	return (*x > *y) - (*x < *y);
}

/* Drops those that are there twice. */
static uint32_t keep_each_once(uint32_t *lot, size_t n)
{
	uint32_t kept = 0;

	if (n)
		qsort(lot, n, sizeof *lot, by_number);
	for (size_t i = 0; i < n; i++)
		if (!kept || lot[kept - 1] != lot[i])
			lot[kept++] = lot[i];
	return kept;
}

static bool names_place(const struct stock_op *op, uint32_t place)
{
	return op->subject == place || op->at == place || op->into == place;
}

/* The lots of a charge: those that it holds, and those of the knot's lines that name it. */
static struct span lots_of_charge(const struct stock *s, struct stock_days *d, uint32_t charge, size_t n)
{
	struct span span = { (uint32_t)d->nlots, 0 };

	stock_lots_at(s, charge, &d->lot, &d->nlots, &d->lot_cap);
	for (size_t i = 0; i < n; i++) {
		const struct stock_op *op = &s->op[d->op[i]];

		if (op->lot == STOCK_ANY || !names_place(op, charge))
			continue;
		d->lot = mem_grow(d->lot, &d->lot_cap, d->nlots + 1, sizeof *d->lot);
		d->lot[d->nlots++] = op->lot;
	}
	span.n = keep_each_once(d->lot + span.first, d->nlots - span.first);
	d->nlots = span.first + span.n;
	return span;
}

/* Of every line of the knot, the lots of its charge if it needs them, and its patterns. */
static void find_reaches(const struct stock *s, struct stock_days *d, size_t n)
{
	uint32_t charge = STOCK_ANY;
	struct span lots = { 0, 0 };

	d->reach = mem_grow(d->reach, &d->reach_cap, n, sizeof *d->reach);
	d->lots = mem_grow(d->lots, &d->lots_cap, n, sizeof *d->lots);
	d->reaches.stock = s;
	d->reaches.npatterns = d->nlots = 0;
	for (size_t i = 0; i < n; i++) {
		const struct stock_op *op = &s->op[d->op[i]];

		if (op->lot == STOCK_ANY && op->at != charge) {
			charge = op->at;
			lots = charge == STOCK_ANY ? (struct span){ 0, 0 } : lots_of_charge(s, d, charge, n);
		}
		d->lots[i] = op->lot == STOCK_ANY ? lots : (struct span){ 0, 0 };
		d->reach[i] = stock_reach_of(s, &d->reaches, op, d->lot + d->lots[i].first, d->lots[i].n);
	}
}

static uint32_t root_of(struct stock_days *d, uint32_t i)
{
	while (d->parent[i] != i)
		i = d->parent[i] = d->parent[d->parent[i]];
	return i;
}

/* The root is the smaller position. */
static void join_roots(struct stock_days *d, uint32_t a, uint32_t b)
{
	a = root_of(d, a);
	b = root_of(d, b);
	d->parent[a > b ? a : b] = a > b ? b : a;
}

static void find_groups(struct stock_days *d, size_t n)
{
	for (uint32_t i = 0; i < n; i++)
		d->parent[i] = n > GROUPS_MOST ? 0 : i;
	for (uint32_t i = 0; i < n && n <= GROUPS_MOST; i++)
		for (uint32_t k = 0; k < i; k++)
			if (root_of(d, i) != root_of(d, k) && stock_reach_meets(&d->reaches, &d->reach[i], &d->reach[k]))
				join_roots(d, i, k);
}

/* The groups come in the order of their first lines. */
static void run_groups(struct stock *s, struct stock_days *d, size_t n)
{
	d->group = mem_grow(d->group, &d->group_cap, n, sizeof *d->group);
	d->group_reach = mem_grow(d->group_reach, &d->group_reach_cap, n, sizeof *d->group_reach);
	d->group_lots = mem_grow(d->group_lots, &d->group_lots_cap, n, sizeof *d->group_lots);
	for (uint32_t root = 0; root < n; root++) {
		size_t k = 0;

		for (uint32_t i = root; i < n && d->parent[root] == root; i++) {
			if (root_of(d, i) != root)
				continue;
			d->group[k] = d->op[i];
			d->group_reach[k] = d->reach[i];
			d->group_lots[k++] = d->lots[i];
		}
		if (k)
			run_group(s, d, k);
	}
}

/* The knot whose ops are d->op[0..n). */
static void run_knot(struct stock *s, struct stock_days *d, size_t n)
{
	if (n == 1 && attempt(s, d->op[0]))
		return;
	stock_key_sort(s, d->op, d->spare, n);
	if (n > 1 && straight(s, d, n))
		return;
	find_reaches(s, d, n);
	find_groups(d, n);
	run_groups(s, d, n);
}

/* ---- knots */

static void join(struct stock *s, struct stock_days *d, uint32_t i, uint32_t id)
{
	struct stock_id *e = &s->state->id[id];

	if (e->day_mark != d->mark) {
		e->day_mark = d->mark;
		e->day_root = i;
		return;
	}
	join_roots(d, e->day_root, i);
}

static void join_charge(struct stock *s, struct stock_days *d, uint32_t i, uint32_t place)
{
	if (place != STOCK_ANY && s->state->id[place].is_charge)
		join(s, d, i, place);
}

/* A line of a charge that names no lot may be about each that the charge holds. */
static void join_held(struct stock *s, struct stock_days *d, uint32_t i, uint32_t charge)
{
	d->nlots = 0;
	stock_lots_at(s, charge, &d->lot, &d->nlots, &d->lot_cap);
	for (size_t k = 0; k < d->nlots; k++)
		join(s, d, i, d->lot[k]);
}

/* Puts the day's ops together by their roots, by counting; those of one root keep their order. */
static void gather(struct stock_days *d, size_t n)
{
	uint32_t sum = 0;

	d->at = mem_grow(d->at, &d->at_cap, n, sizeof *d->at);
	memset(d->at, 0, n * sizeof *d->at);
	for (uint32_t i = 0; i < n; i++)
		d->at[root_of(d, i)]++;
	for (uint32_t i = 0; i < n; i++) {
		uint32_t count = d->at[i];

		d->at[i] = sum;
		sum += count;
	}
	for (uint32_t i = 0; i < n; i++) {
		uint32_t root = root_of(d, i);

		d->knot[d->at[root]++] = (struct knot_op){ i, root };
	}
}

static void find_knots(struct stock *s, struct stock_days *d, size_t n)
{
	uint32_t ids[STOCK_TOUCH_MOST];

	d->knot = mem_grow(d->knot, &d->knots_cap, n, sizeof *d->knot);
	d->mark++;
	for (uint32_t i = 0; i < n; i++) {
		const struct stock_op *op = &s->op[i];
		size_t k = stock_touches(op, ids);

		d->parent[i] = i;
		while (k)
			join(s, d, i, ids[--k]);
		join_charge(s, d, i, op->at);
		join_charge(s, d, i, op->into);
		if (op->lot == STOCK_ANY && op->at != STOCK_ANY)
			join_held(s, d, i, op->at);
		for (uint32_t c = op->counts; op->event->stock.take == TAKE_LOTS && c < op->counts + op->ncounts; c++)
			join(s, d, i, s->item[c].word);
	}
	gather(d, n);
}

void stock_day(struct stock *s, struct stock_days *d, size_t n)
{
	if (!n)
		return;
	d->op = mem_grow(d->op, &d->ops_cap, n, sizeof *d->op);
	d->spare = mem_grow(d->spare, &d->spare_cap, n, sizeof *d->spare);
	d->parent = mem_grow(d->parent, &d->parents_cap, n, sizeof *d->parent);
	if (n == 1) {
		d->op[0] = 0;
		run_knot(s, d, 1);
		return;
	}
	find_knots(s, d, n);
	for (size_t i = 0, k; i < n; i = k) {
		for (k = i; k < n && d->knot[k].root == d->knot[i].root; k++)
			d->op[k - i] = d->knot[k].op;
		run_knot(s, d, k - i);
	}
}
