#include "yield/yield_through.h"

#include "math/stats.h"

/* All steps together have no yield before they are over, nor where pieces that were good so far left for other keys. */
static struct stage_share yield_of(const struct yield_row *r)
{
	bool closed = stages_entered(r->n) == r->n[STAGE_OUT] + r->n[STAGE_CULLED] && r->n[STAGE_CROSSED] >= 0;

	return r->head.step == YIELD_ALL_STEPS && !closed ? (struct stage_share){ false, 0, 0 } : stages_yield(r->n);
}

static struct sure_yield sure_yield(const struct yield_spread *s, size_t i)
{
	const struct yield_rows *y = s->rows;
	const struct spread *spread = &s->step[y->row[i].head.step];
	struct stage_share share = yield_of(&y->row[i]);

	share.n /= yield_spread_design(y, spread, i);
	return (struct sure_yield){ share, yield_spread_point(y, spread, i) };
}

/* Cleaving and buying are one first step: rows i and i + 1. */
static struct sure_yield arrival(const struct yield_spread *s, size_t i)
{
	struct yield_row both = s->rows->row[i];
	struct sure_yield a = sure_yield(s, i), b = sure_yield(s, i + 1);
	double cases = a.share.n + b.share.n;

	for (int k = 0; k < STAGE_COUNTS; k++)
		both.n[k] += s->rows->row[i + 1].n[k];
	a.share = yield_of(&both);
	a.share.n = cases > 0 && cases < a.share.n ? cases : a.share.n;
	a.point = a.point > b.point ? a.point : b.point;
	return a;
}

/* A handle is through when it went into a bat: of those that come out of one again, to be culled, there is no yield. */
static bool ends_before(const struct yield_spread *s, size_t step)
{
	return s->rows->stages->handles && step == STAGE_BAT;
}

/* The rows of one set of keys from its first step on, with the yields multiplied; returns the row after them. */
static size_t add_key(const struct yield_spread *s, size_t first, struct yield_through *through)
{
	struct stages_through product = stages_through_none;
	const struct yield_row *row = s->rows->row;
	struct sure_yield so_far = { { false, 0, 0 }, NORMAL_975 }, known = so_far;
	size_t i = first;

	for (; row[i].head.step != YIELD_ALL_STEPS; i++) {
		bool two = i == first && row[i].head.step == STAGE_CLEAVE && row[i + 1].head.step == STAGE_BUY;
		struct sure_yield step = two ? arrival(s, i) : sure_yield(s, i);

		if (ends_before(s, row[i].head.step))
			continue;
		if (!(i > first && row[i].head.step == STAGE_BUY)) {
			stages_through_add(&product, step.share);
			so_far.point = step.point > so_far.point ? step.point : so_far.point;
		}
		so_far.share = stages_through(&product);
		known = so_far.share.known ? so_far : known;
		through[i] = (struct yield_through){ sure_yield(s, i), so_far };
	}
	through[i] = (struct yield_through){ sure_yield(s, i), known };
	return i + 1;
}

struct yield_through *yield_throughs(const struct yield_spread *s)
{
	struct yield_through *through = mem_zeroed(s->rows->nrows, sizeof *through);

	for (size_t i = 0; i < s->rows->nrows;)
		i = add_key(s, i, through);
	return through;
}
