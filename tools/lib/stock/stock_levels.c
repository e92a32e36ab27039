#include "stock/stock_levels.h"

#include <stdlib.h>

#include "stock/stock_internal.h"

/* What a line does to one batch. */
struct level_step {
	uint32_t line;
	int32_t second;
	bool counts;          /* a tally: the batch must have exactly `needs` */
	int64_t needs, adds;
};

struct level_table {
	uint32_t done;        /* bits of the lines that are done */
	uint8_t *holds;       /* by the bits of the lines done: whether the others can follow */
};

void stock_levels_release(struct stock_levels *x)
{
	for (size_t i = 0; i < x->ntables; i++)
		free(x->table[i].holds);
	free(x->table);
	free(x->touch);
	free(x->first);
	memset(x, 0, sizeof *x);
}

static bool is_whole(const struct stock_kind *k)
{
	return k->lot != STOCK_ANY && k->place != STOCK_ANY && k->type != STOCK_ANY && k->grade != STOCK_ANY && k->class != STOCK_ANY
		&& k->party != STOCK_ANY && k->form >= 0;
}

/* ---- the steps of one batch */

static int64_t sum_of(const struct stock *s, uint32_t first, uint32_t n)
{
	int64_t sum = 0;

	for (uint32_t i = first; i < first + n; i++)
		sum += s->item[i].n;
	return sum;
}

/* The pieces of pattern number `k` of the line: those it takes, or those it gives. */
static int64_t pieces_of(const struct stock *s, const struct stock_op *op, uint32_t k, uint32_t nlooks)
{
	int64_t culls = sum_of(s, op->culls, op->nculls), counts = sum_of(s, op->counts, op->ncounts);
	bool one = op->event->stock.number == NUMBER_ONE || op->uncounted;

	if (k < nlooks)
		return op->event->stock.take == TAKE_LOTS ? s->item[op->counts + k].n : one ? (culls > 1 ? culls : 1) : counts + culls;
	if (op->event->stock.take == TAKE_LOTS)
		return counts;
	return one ? (culls ? 0 : 1) : s->item[op->counts + k - nlooks].n;
}

/* Whether the line touches the batch; *sure is cleared if it may or may not. */
static bool find_step(const struct stock *s, const struct stock_reaches *all, const struct stock_reach *r, const struct stock_op *op,
	const struct stock_kind *kind, struct level_step *step, bool *sure)
{
	bool touches = false;

	*step = (struct level_step){ .second = op->second, .counts = op->event->stock.number == NUMBER_TALLY };
	for (uint32_t k = 0; k < r->nlooks + r->ngives; k++) {
		const struct stock_kind *pattern = &all->pattern[r->first + k];
		int64_t n;

		if (!stock_kinds_meet(s, pattern, kind))
			continue;
		if (!stock_same_kind(pattern, kind) || (op->event->stock.take == TAKE_PICK && r->nlooks > 1)) {
			*sure = false;
			return false;
		}
		touches = true;
		n = pieces_of(s, op, k, r->nlooks);
		step->adds += k < r->nlooks ? -n : n;
		step->needs += k < r->nlooks ? n : 0;
	}
	if (step->counts && touches) {
		step->needs -= op->found;
		step->adds += op->found;
	}
	return touches;
}

/* A tally that gives to the batch and does not look at it counts another one. */
static void settle(const struct stock_reaches *all, const struct stock_reach *r, const struct stock_op *op, const struct stock_kind *kind,
	struct level_step *step)
{
	if (!step->counts || stock_same_kind(&all->pattern[r->first], kind))
		return;
	step->counts = false;
	step->needs = 0;
	step->adds -= op->found;
}

/* What the lines do to a batch. */
struct level_steps {
	struct level_step step[LEVEL_LINES];
	size_t n;             /* of them; there may be more than there is space for */
	int64_t end;          /* how many pieces there are after all of them */
	bool sure;            /* no line may touch the batch or not */
};

static void find_steps(const struct stock *s, const struct stock_reaches *all, const struct stock_reach *reach, const uint32_t *op,
	const bool *done, size_t n, const struct stock_kind *kind, struct level_steps *steps)
{
	steps->n = 0;
	steps->sure = true;
	steps->end = stock_number(s, kind);
	for (uint32_t i = 0; i < n && steps->sure; i++) {
		struct level_step found;

		if (done[i] || !find_step(s, all, &reach[i], &s->op[op[i]], kind, &found, &steps->sure))
			continue;
		settle(all, &reach[i], &s->op[op[i]], kind, &found);
		found.line = i;
		steps->end += found.adds;
		if (steps->n < LEVEL_LINES)
			steps->step[steps->n] = found;
		steps->n++;
	}
}

/* ---- a table */

static bool may_come(const struct level_step *step, size_t n, uint32_t done, size_t i, bool free_times)
{
	if (done & 1u << i)
		return false;
	for (size_t k = 0; k < n && !free_times && step[i].second != STOCK_UNTIMED; k++)
		if (!(done & 1u << k) && step[k].second != STOCK_UNTIMED && step[k].second < step[i].second)
			return false;
	return true;
}

static bool can_follow(const struct level_step *step, size_t n, const uint8_t *holds, uint32_t done, int64_t level, bool free_times)
{
	for (size_t i = 0; i < n; i++)
		if (holds[done | 1u << i] && may_come(step, n, done, i, free_times)
				&& (step[i].counts ? level == step[i].needs : level >= step[i].needs))
			return true;
	return false;
}

static uint8_t *make_table(const struct level_step *step, size_t n, int64_t start, bool free_times)
{
	uint32_t all = (1u << n) - 1;
	uint8_t *holds = mem_zeroed((size_t)all + 1, 1);

	holds[all] = 1;
	for (uint32_t done = all; done--;) {
		int64_t level = start;

		for (size_t i = 0; i < n; i++)
			level += done & 1u << i ? step[i].adds : 0;
		holds[done] = can_follow(step, n, holds, done, level, free_times);
	}
	return holds;
}

/* Batches that were looked at. */
struct kinds_seen {
	struct stock_kind *kind;
	size_t n, cap;
};

static bool was_seen(struct kinds_seen *seen, const struct stock_kind *kind)
{
	for (size_t i = 0; i < seen->n; i++)
		if (stock_same_kind(&seen->kind[i], kind))
			return true;
	seen->kind = mem_grow(seen->kind, &seen->cap, seen->n + 1, sizeof *seen->kind);
	seen->kind[seen->n++] = *kind;
	return false;
}

struct line_touch {
	uint32_t line;
	struct level_touch touch;
};

struct line_touches {
	struct line_touch *row;
	size_t n, cap;
};

static void add_table(struct stock_levels *x, struct line_touches *touches, const struct stock *s, const struct level_step *step, size_t n,
	const struct stock_kind *kind, bool free_times)
{
	uint32_t table = (uint32_t)x->ntables;

	x->table = mem_grow(x->table, &x->tables_cap, x->ntables + 1, sizeof *x->table);
	x->table[x->ntables++] = (struct level_table){ 0, make_table(step, n, stock_number(s, kind), free_times) };
	x->lost |= !x->table[table].holds[0];
	touches->row = mem_grow(touches->row, &touches->cap, touches->n + n, sizeof *touches->row);
	for (uint32_t i = 0; i < n; i++)
		touches->row[touches->n++] = (struct line_touch){ step[i].line, { table, 1u << i } };
}

/* Puts the touches in the order of their lines. */
static void sort_touches(struct stock_levels *x, const struct line_touches *touches, size_t n)
{
	x->first = mem_zeroed(n + 2, sizeof *x->first);
	x->touch = mem_array(touches->n, sizeof *x->touch);
	for (size_t i = 0; i < touches->n; i++)
		x->first[touches->row[i].line + 2]++;
	for (size_t i = 2; i < n + 2; i++)
		x->first[i] += x->first[i - 1];
	for (size_t i = 0; i < touches->n; i++)
		x->touch[x->first[touches->row[i].line + 1]++] = touches->row[i].touch;
}

void stock_levels_init(struct stock_levels *x, const struct stock *s, const struct stock_reaches *all, const struct stock_reach *reach,
	const uint32_t *op, const bool *done, size_t n, bool free_times)
{
	struct line_touches touches = { NULL, 0, 0 };
	struct kinds_seen seen = { NULL, 0, 0 };
	struct level_steps steps;

	memset(x, 0, sizeof *x);
	for (size_t i = 0; i < n; i++)
		for (uint32_t k = 0; k < reach[i].nlooks && !done[i]; k++) {
			const struct stock_kind *kind = &all->pattern[reach[i].first + k];

			if (!is_whole(kind) || was_seen(&seen, kind))
				continue;
			find_steps(s, all, reach, op, done, n, kind, &steps);
			x->lost |= steps.sure && steps.end < 0;
			if (steps.sure && steps.n > 1 && steps.n <= LEVEL_LINES)
				add_table(x, &touches, s, steps.step, steps.n, kind, free_times);
		}
	sort_touches(x, &touches, n);
	free(touches.row);
	free(seen.kind);
}

/* ---- asking */

void stock_levels_turn(struct stock_levels *x, uint32_t line)
{
	for (uint32_t i = x->first[line]; i < x->first[line + 1]; i++)
		x->table[x->touch[i].table].done ^= x->touch[i].bit;
}

bool stock_levels_hold(const struct stock_levels *x, uint32_t line)
{
	for (uint32_t i = x->first[line]; i < x->first[line + 1]; i++) {
		const struct level_table *t = &x->table[x->touch[i].table];

		if (!t->holds[t->done])
			return false;
	}
	return true;
}
