#include <stdlib.h>

#include "stock/stock_internal.h"

/*
 * A day's lines fall into knots that share no lot and no charge; each knot is ordered by itself.
 * Within one the search goes depth first through the orders, in their order of preference, and
 * never twice into a state that it has left: the state is what lines were carried out and what
 * every bucket then holds. Lines that say the same are one line that comes so many times: which of
 * them was carried out is no part of the state. SEARCH_MOST steps bound it, far above what seven lines can ask for; a
 * knot of more than KNOT_MOST lines is not searched.
 */
#define NONE UINT32_MAX

enum { SEARCH_MOST = 50000, KNOT_MOST = 512 };

struct knot_op {
	uint32_t op, root;
};

struct frame {
	size_t undo;       /* where the state before the step begins */
	uint32_t tried;    /* candidates that were tried here: the next one's position */
	uint32_t at;       /* the candidate that was carried out */
};

struct stock_days {
	struct knot_op *knot;   /* the day's ops with their roots */
	size_t knots_cap;
	uint32_t *parent;       /* union-find over the day's ops */
	size_t parents_cap;
	uint32_t *at;           /* by root, where its ops go */
	size_t at_cap;
	uint32_t *op;           /* the knot in hand: timed ones first, by instant, then untimed by content */
	uint64_t *alike;        /* for a state: the same random bits for lines that say the same */
	bool *done;
	uint32_t *order, *best; /* positions in `op` */
	struct frame *frame;
	size_t ops_cap, alike_cap, done_cap, order_cap, best_cap, frames_cap;
	uint64_t *seen;         /* states that were left */
	size_t nseen, seen_cap;
	struct hash_index seen_index;
	uint32_t mark;
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
	free(d->alike);
	free(d->done);
	free(d->order);
	free(d->best);
	free(d->frame);
	free(d->seen);
	hash_index_release(&d->seen_index);
	free(d);
}

size_t stock_touches(const struct stock_op *op, uint32_t *ids)
{
	size_t n = 0;

	ids[n++] = op->subject;
	if (op->lot != STOCK_ANY && op->lot != op->subject)
		ids[n++] = op->lot;
	if (op->event->stock.take == TAKE_PAIR) {
		ids[n++] = op->blade;
		ids[n++] = op->handle;
	}
	return n;
}

/* ---- the order of preference */

#define BY(a, b) do { if ((a) != (b)) return (a) < (b) ? -1 : 1; } while (0)

static int by_text(const struct stock *s, uint32_t a, uint32_t b)
{
	if (a == b)
		return 0;
	if (a == STOCK_ANY || b == STOCK_ANY)
		return a == STOCK_ANY ? -1 : 1;
	return slice_cmp(intern_text(&s->ids, a), intern_text(&s->ids, b));
}

static int by_items(const struct stock *s, uint32_t a, uint32_t na, uint32_t b, uint32_t nb)
{
	BY(na, nb);
	for (uint32_t i = 0; i < na; i++) {
		const struct stock_item *x = &s->item[a + i], *y = &s->item[b + i];
		int order = by_text(s, x->type, y->type);

		order = order ? order : by_text(s, x->grade, y->grade);
		if (order)
			return order;
		BY(x->n, y->n);
	}
	return 0;
}

/* By what the lines say, so that neither file nor place in it matters. */
static int by_content(const struct stock *s, const struct stock_op *a, const struct stock_op *b)
{
	const uint32_t x[] = { a->subject, a->lot, a->at, a->into, a->type, a->grade, a->blade, a->handle, a->tree };
	const uint32_t y[] = { b->subject, b->lot, b->at, b->into, b->type, b->grade, b->blade, b->handle, b->tree };
	int order = slice_cmp(a->event->name, b->event->name);

	for (size_t i = 0; !order && i < sizeof x / sizeof *x; i++)
		order = by_text(s, x[i], y[i]);
	if (order)
		return order;
	BY(a->form, b->form);
	BY(a->found, b->found);
	order = by_items(s, a->counts, a->ncounts, b->counts, b->ncounts);
	return order ? order : by_items(s, a->culls, a->nculls, b->culls, b->nculls);
}

/* Timed lines by instant, then the untimed. */
static int by_preference(const struct stock *s, uint32_t a, uint32_t b)
{
	const struct stock_op *x = &s->op[a], *y = &s->op[b];
	bool untimed_x = x->second == STOCK_UNTIMED, untimed_y = y->second == STOCK_UNTIMED;

	BY(untimed_x, untimed_y);
	BY(x->second, y->second);
	return by_content(s, x, y);
}

static void merge_sort(const struct stock *s, uint32_t *op, uint32_t *spare, size_t n)
{
	size_t half = n / 2, i = 0, j = half, k = 0;

	if (n < 2)
		return;
	merge_sort(s, op, spare, half);
	merge_sort(s, op + half, spare, n - half);
	if (by_preference(s, op[half - 1], op[half]) <= 0)
		return;
	while (i < half && j < n)
		spare[k++] = by_preference(s, op[j], op[i]) < 0 ? op[j++] : op[i++];
	while (i < half)
		spare[k++] = op[i++];
	memcpy(op, spare, k * sizeof *op);
}

/* ---- the states left */

/* Whether the state was left before; it is now. */
static bool seen_before(struct stock_days *d, uint64_t state)
{
	struct hash_probe p = hash_probe_of(&d->seen_index, state);

	while (hash_probe_next(&d->seen_index, &p))
		if (d->seen[p.row] == state)
			return true;
	hash_index_add(&d->seen_index, state, (uint32_t)d->nseen);
	d->seen = mem_grow(d->seen, &d->seen_cap, d->nseen + 1, sizeof *d->seen);
	d->seen[d->nseen++] = state;
	return false;
}

static void seen_clear(struct stock_days *d)
{
	hash_index_clear(&d->seen_index);
	d->nseen = 0;
}

/* ---- the search */

/* The n-th candidate for the next step: lines of the earliest instant left, then the untimed. */
static uint32_t candidate(const struct stock *s, const struct stock_days *d, size_t n, uint32_t from, bool free_times)
{
	int32_t instant = STOCK_UNTIMED;

	for (uint32_t i = 0; i < n; i++) {
		int32_t second = s->op[d->op[i]].second;

		if (d->done[i])
			continue;
		if (second != STOCK_UNTIMED && instant == STOCK_UNTIMED)
			instant = second;
		if (i >= from && (free_times || second == STOCK_UNTIMED || second == instant))
			return i;
	}
	return NONE;
}

static void step_back(struct stock *s, struct stock_days *d, size_t depth, uint64_t *lines)
{
	uint32_t at = d->frame[depth].at;

	stock_undo(s, d->frame[depth].undo);
	d->done[at] = false;
	*lines -= d->alike[at];
}

/* Carries a candidate out as the step of that depth; false when it cannot be, or leads to a state that was left. */
static bool step_on(struct stock *s, struct stock_days *d, size_t depth, uint32_t at, uint64_t *lines)
{
	struct stock_fault fault;

	if (!stock_apply(s, d->op[at], &fault))
		return false;
	d->frame[depth].at = at;
	d->done[at] = true;
	*lines += d->alike[at];
	d->order[depth] = at;
	if (!seen_before(d, (*lines ^ s->state->hash * 31) * 0xff51afd7ed558ccdu))
		return true;
	step_back(s, d, depth, lines);
	return false;
}

/* A state holds the sum of its lines' bits, so they must be no multiples of one number. */
static uint64_t bits_of(uint64_t i)
{
	i = (i + 1) * 0x9e3779b97f4a7c15u;
	i = (i ^ i >> 30) * 0xbf58476d1ce4e5b9u;
	i = (i ^ i >> 27) * 0x94d049bb133111ebu;
	return i ^ i >> 31;
}

static void find_alike(struct stock *s, struct stock_days *d, size_t n)
{
	for (size_t i = 0; i < n; i++)
		d->alike[i] = i && by_preference(s, d->op[i - 1], d->op[i]) == 0 ? d->alike[i - 1] : bits_of(i);
}

/*
 * Fills d->order with an order in which every line of the knot can be carried out, and leaves the
 * state as it was. False when there is none (or the bound is met): d->best then has the longest
 * beginning that was found, of *reached lines.
 */
static bool search(struct stock *s, struct stock_days *d, size_t n, bool free_times, size_t *reached)
{
	size_t depth = 0, mark = s->state->nundos, tries = 0;
	uint64_t lines = 0;

	*reached = 0;
	seen_clear(d);
	find_alike(s, d, n);
	d->frame[0] = (struct frame){ s->state->nundos, 0, NONE };
	while (depth < n && tries < SEARCH_MOST) {
		struct frame *f = &d->frame[depth];
		uint32_t at = candidate(s, d, n, f->tried, free_times);

		if (at == NONE && depth == 0)
			break;
		if (at == NONE) {
			step_back(s, d, --depth, &lines);
			continue;
		}
		f->tried = at + 1;
		tries++;
		if (!step_on(s, d, depth, at, &lines))
			continue;
		depth++;
		d->frame[depth] = (struct frame){ s->state->nundos, 0, NONE };
		if (depth > *reached) {
			*reached = depth;
			memcpy(d->best, d->order, depth * sizeof *d->best);
		}
	}
	stock_undo(s, mark);
	memset(d->done, 0, n);
	return depth == n;
}

/* ---- carrying out */

/* The lots that a fault makes doubtful: those that the line names, or else its charge. */
static size_t lots_of(const struct stock_op *op, uint32_t *ids)
{
	size_t n = stock_touches(op, ids);

	if (op->event->stock.lot == FROM_FIELD && op->lot != STOCK_ANY && op->lot != op->subject) {
		ids[0] = op->lot;
		return 1;
	}
	return n;
}

static uint32_t fault_of_lots(const struct stock *s, const uint32_t *ids, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (s->state->id[ids[i]].fault)
			return s->state->id[ids[i]].fault;
	return 0;
}

/* The fault that made a line's lots doubtful, or its charge, or a lot of a pool; or 0. */
static uint32_t fault_behind(const struct stock *s, const struct stock_op *op, const uint32_t *ids, size_t n)
{
	uint32_t fault = fault_of_lots(s, ids, n);

	if (!fault && op->at != STOCK_ANY)
		fault = s->state->id[op->at].fault;
	for (uint32_t i = op->counts; op->event->stock.take == TAKE_LOTS && !fault && i < op->counts + op->ncounts; i++)
		fault = s->state->id[s->item[i].word].fault;
	return fault;
}

static void pool_doubt(struct stock *s, const struct stock_op *op, uint32_t fault)
{
	if (op->event->stock.take != TAKE_LOTS)
		return;
	for (uint32_t i = op->counts; i < op->counts + op->ncounts; i++)
		if (!s->state->id[s->item[i].word].fault)
			s->state->id[s->item[i].word].fault = fault;
}

/* A line that cannot be carried out: told, or counted with the fault that made its lots doubtful. */
static void give_up(struct stock *s, uint32_t op, struct stock_fault *fault, bool order)
{
	struct stock_state *r = s->state;
	uint32_t ids[STOCK_TOUCH_MOST], index;
	size_t n = lots_of(&s->op[op], ids);

	index = fault_behind(s, &s->op[op], ids, n);
	if (index)
		r->fault[index - 1].later++;
	else {
		fault->order = order;
		stock_hint(s, fault);
		r->fault = mem_grow(r->fault, &r->faults_cap, r->nfaults + 1, sizeof *r->fault);
		r->fault[r->nfaults++] = *fault;
		index = (uint32_t)r->nfaults;
	}
	for (size_t i = 0; i < n; i++)
		if (!r->id[ids[i]].fault)
			r->id[ids[i]].fault = index;
	pool_doubt(s, &s->op[op], index);
	r->telling = TELL_NOW;
	stock_force(s, op, fault);
	r->telling = TELL_NOT;
	r->nundos = 0;
}

/* Carries a line out, or gives it up when `force`; whether it is done with. */
static bool attempt(struct stock *s, uint32_t op, bool force, bool order)
{
	struct stock_fault fault;
	bool done;

	s->state->telling = TELL_NOW;
	done = stock_apply(s, op, &fault);
	s->state->telling = TELL_NOT;
	s->state->nundos = 0;
	if (!done && force)
		give_up(s, op, &fault, order);
	return done || force;
}

/* Carries out the first untimed line left that can be; false when there is none. */
static bool one_untimed(struct stock *s, struct stock_days *d, size_t *from, size_t n, size_t *tries)
{
	while (*from < n && d->done[*from])
		++*from;
	for (size_t k = *from; k < n && *tries; k++) {
		if (d->done[k])
			continue;
		--*tries;
		if (attempt(s, d->op[k], false, false))
			return d->done[k] = true;
	}
	return false;
}

/*
 * No order does: the longest beginning is carried out, then the timed lines one by one, each with
 * what untimed lines can be carried out before it when it cannot, and what is left is told.
 */
static void muddle(struct stock *s, struct stock_days *d, size_t n, size_t reached, bool order)
{
	size_t untimed = 0, left, tries = 64 * n;

	for (size_t i = 0; i < reached; i++) {
		attempt(s, d->op[d->best[i]], false, false);
		d->done[d->best[i]] = true;
	}
	while (untimed < n && s->op[d->op[untimed]].second != STOCK_UNTIMED)
		untimed++;
	left = untimed;
	for (size_t k = 0; k < untimed; k++) {
		while (!d->done[k] && !(d->done[k] = attempt(s, d->op[k], false, false)))
			if (!one_untimed(s, d, &left, n, &tries))
				d->done[k] = attempt(s, d->op[k], true, order);
	}
	while (one_untimed(s, d, &left, n, &tries))
		;
	for (size_t k = untimed; k < n; k++)
		if (!d->done[k])
			attempt(s, d->op[k], true, order);
	memset(d->done, 0, n);
}

static void grow_days(struct stock_days *d, size_t n)
{
	size_t had = d->done_cap;

	d->op = mem_grow(d->op, &d->ops_cap, n + 1, sizeof *d->op);
	d->alike = mem_grow(d->alike, &d->alike_cap, n + 1, sizeof *d->alike);
	d->done = mem_grow(d->done, &d->done_cap, n + 1, sizeof *d->done);
	d->order = mem_grow(d->order, &d->order_cap, n + 1, sizeof *d->order);
	d->best = mem_grow(d->best, &d->best_cap, n + 1, sizeof *d->best);
	d->frame = mem_grow(d->frame, &d->frames_cap, n + 1, sizeof *d->frame);
	if (d->done_cap > had)
		memset(d->done, 0, d->done_cap);
}

/* All lines in their order of preference, when that order works, which it mostly does. */
static bool straight(struct stock *s, struct stock_days *d, size_t n)
{
	struct stock_fault fault;
	size_t i = 0;

	s->state->telling = TELL_HOLD;
	while (i < n && stock_apply(s, d->op[i], &fault))
		i++;
	s->state->telling = TELL_NOT;
	if (i < n) {
		stock_undo(s, 0);
		s->state->nheld = 0;
		return false;
	}
	s->state->nundos = 0;
	stock_tell_held(s);
	return true;
}

/* Whether some order would do if no line bore a time. Keeps d->best. */
static bool times_are_to_blame(struct stock *s, struct stock_days *d, size_t n, size_t reached)
{
	uint32_t *kept = mem_array(reached, sizeof *kept);
	size_t other;
	bool would;

	memcpy(kept, d->best, reached * sizeof *kept);
	would = search(s, d, n, true, &other);
	memcpy(d->best, kept, reached * sizeof *kept);
	free(kept);
	return would;
}

/* The knot whose ops stand in d->op[0..n). */
static void run_knot(struct stock *s, struct stock_days *d, size_t n)
{
	size_t reached = 0;

	if (n == 1) {
		attempt(s, d->op[0], true, false);
		return;
	}
	merge_sort(s, d->op, d->order, n);
	if (straight(s, d, n))
		return;
	if (n > KNOT_MOST)
		muddle(s, d, n, 0, false);
	else if (!search(s, d, n, false, &reached))
		muddle(s, d, n, reached, times_are_to_blame(s, d, n, reached));
	else
		for (size_t i = 0; i < n; i++)
			attempt(s, d->op[d->order[i]], false, false);
}

/* ---- knots */

static uint32_t root_of(struct stock_days *d, uint32_t i)
{
	while (d->parent[i] != i)
		i = d->parent[i] = d->parent[d->parent[i]];
	return i;
}

static void join(struct stock *s, struct stock_days *d, uint32_t i, uint32_t id)
{
	struct stock_id *e = &s->state->id[id];
	uint32_t a, b;

	if (e->day_mark != d->mark) {
		e->day_mark = d->mark;
		e->day_root = i;
		return;
	}
	a = root_of(d, e->day_root);
	b = root_of(d, i);
	d->parent[a > b ? a : b] = a > b ? b : a;
}

/* Puts the day's ops together by their roots, by counting; those of one root keep their order. */
static void gather(struct stock_days *d, const uint32_t *order, size_t n)
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

		d->knot[d->at[root]++] = (struct knot_op){ order[i], root };
	}
}

static void find_knots(struct stock *s, struct stock_days *d, const uint32_t *order, size_t n)
{
	uint32_t ids[STOCK_TOUCH_MOST];

	d->parent = mem_grow(d->parent, &d->parents_cap, n, sizeof *d->parent);
	d->knot = mem_grow(d->knot, &d->knots_cap, n, sizeof *d->knot);
	d->mark++;
	for (uint32_t i = 0; i < n; i++) {
		const struct stock_op *op = &s->op[order[i]];
		size_t k = stock_touches(op, ids);

		d->parent[i] = i;
		while (k)
			join(s, d, i, ids[--k]);
		for (uint32_t c = op->counts; op->event->stock.take == TAKE_LOTS && c < op->counts + op->ncounts; c++)
			join(s, d, i, s->item[c].word);
	}
	gather(d, order, n);
}

void stock_day(struct stock *s, struct stock_days *d, const uint32_t *order, size_t n)
{
	grow_days(d, n);
	for (size_t i = 0; i < n; i++)
		stock_fetch(s, &s->op[order[i]]);
	if (n == 1) {
		d->op[0] = order[0];
		run_knot(s, d, 1);
		return;
	}
	find_knots(s, d, order, n);
	for (size_t i = 0, k; i < n; i = k) {
		for (k = i; k < n && d->knot[k].root == d->knot[i].root; k++)
			d->op[k - i] = d->knot[k].op;
		run_knot(s, d, k - i);
	}
}
