#include "grades/side_answer.h"

#include <stdlib.h>

#include "grades/agreement.h"
#include "grades/agreement_view.h"
#include "grades/claims.h"
#include "grades/claims_view.h"
#include "grades/drift.h"
#include "grades/drift_view.h"
#include "grades/measures.h"
#include "grades/measures_view.h"
#include "table/table.h"

/* ---- agreement */

static void *start_agreement(const struct side_answer_with *w)
{
	struct agreement *a = mem_zeroed(1, sizeof *a);

	agreement_init(a, w->stock, w->from, w->to);
	return a;
}

static bool finish_agreement(void *state, struct table *t)
{
	struct agreement *a = state;
	bool any;

	agreement_end(a);
	agreement_view(a, t);
	any = a->npairs > 0;
	agreement_release(a);
	free(a);
	return any;
}

/* ---- drift */

struct drift_state {
	struct drift drift;
	struct provenance origins;
	struct side_answer_with with;
};

static void *start_drift(const struct side_answer_with *w)
{
	struct drift_state *d = mem_zeroed(1, sizeof *d);

	d->with = *w;
	provenance_init(&d->origins, &w->stock->ids);
	return d;
}

static void take_drift(void *state, const struct line *l)
{
	struct drift_state *d = state;

	provenance_add(&d->origins, l);
}

/* The days of the baseline are the first period. */
static void stock_drift(void *state)
{
	struct drift_state *d = state;
	const struct side_answer_with *w = &d->with;

	provenance_end(&d->origins);
	drift_init(&d->drift, w->stock, &d->origins, w->baseline, w->to, w->has_baseline ? w->from : DRIFT_NO_CUT);
}

static void flow_drift(void *state, const struct stock_flow *f)
{
	struct drift_state *d = state;

	drift_flow(&d->drift, f);
}

static bool finish_drift(void *state, struct table *t)
{
	struct drift_state *d = state;

	drift_end(&d->drift);
	drift_view(&d->drift, t);
	drift_release(&d->drift);
	provenance_release(&d->origins);
	free(d);
	return table_rows(&t[1]) > 0;
}

/* ---- measures */

static void *start_measures(const struct side_answer_with *w)
{
	struct measures *m = mem_zeroed(1, sizeof *m);

	measures_init(m, w->house, w->from, w->to);
	return m;
}

static bool finish_measures(void *state, struct table *t)
{
	struct measures *m = state;

	measures_end(m);
	measures_view(m, t);
	measures_release(m);
	free(m);
	return table_rows(t) > 0;
}

/* ---- claims */

static void *start_claims(const struct side_answer_with *w)
{
	struct claims *c = mem_zeroed(1, sizeof *c);

	claims_init(c, w->stock, w->from, w->to);
	return c;
}

static bool finish_claims(void *state, struct table *t)
{
	struct claims *c = state;
	bool any;

	claims_end(c);
	claims_view(c, t);
	any = c->n > 0;
	claims_release(c);
	free(c);
	return any;
}

/* ---- the kinds */

const struct side_answer side_answers[SIDE_ANSWERS] = {
	{ "--agreement", false, false },
	{ "--drift", true, true },
	{ "--measures", false, false },
	{ "--claims", true, false },
};

_Static_assert(AGREEMENT_TABLES + DRIFT_TABLES + 1 + CLAIMS_TABLES <= SIDE_ANSWER_TABLES_MOST, "there is space for all tables");

static const struct {
	size_t ntables;
	void *(*start)(const struct side_answer_with *with);
	void (*take)(void *state, const struct line *l);
	void (*stocked)(void *state);                          /* or NULL */
	void (*flow)(void *state, const struct stock_flow *f); /* or NULL: it needs no flows */
	bool (*finish)(void *state, struct table *t);          /* frees the state; whether there is an answer */
} KINDS[SIDE_ANSWERS] = {
	{ AGREEMENT_TABLES, start_agreement, agreement_take, NULL, agreement_flow, finish_agreement },
	{ DRIFT_TABLES, start_drift, take_drift, stock_drift, flow_drift, finish_drift },
	{ 1, start_measures, measures_take, NULL, NULL, finish_measures },
	{ CLAIMS_TABLES, start_claims, claims_take, NULL, claims_flow, finish_claims },
};

void side_answers_start(struct side_answers *a, const struct side_answer_with *with)
{
	for (size_t i = 0; i < SIDE_ANSWERS; i++)
		if (a->want[i])
			a->state[i] = KINDS[i].start(with);
}

void side_answers_take(void *context, const struct line *l)
{
	struct side_answers *a = context;

	for (size_t i = 0; i < SIDE_ANSWERS; i++)
		if (a->want[i])
			KINDS[i].take(a->state[i], l);
}

bool side_answers_read(struct side_answers *a)
{
	bool flows = false;

	for (size_t i = 0; i < SIDE_ANSWERS; i++) {
		if (a->want[i] && KINDS[i].stocked)
			KINDS[i].stocked(a->state[i]);
		flows |= a->want[i] && KINDS[i].flow;
	}
	return flows;
}

void side_answers_flow(void *context, const struct stock_flow *f)
{
	struct side_answers *a = context;

	for (size_t i = 0; i < SIDE_ANSWERS; i++)
		if (a->want[i] && KINDS[i].flow)
			KINDS[i].flow(a->state[i], f);
}

bool side_answers_finish(struct side_answers *a, struct table *t, size_t n[SIDE_ANSWERS])
{
	bool all = true;

	for (size_t i = 0; i < SIDE_ANSWERS; i++) {
		n[i] = a->want[i] ? KINDS[i].ntables : 0;
		if (a->want[i])
			all &= KINDS[i].finish(a->state[i], t);
		t += n[i];
	}
	return all;
}
