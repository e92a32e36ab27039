#include "plan/charge_times.h"

#include <math.h>
#include <stdlib.h>

#include "math/distributions.h"
#include "supply/under_way.h"

static const double HALF_A_DAY = 0.5;

/* Charges that all took as long are not that sure to do so again. */
static const double SD_LEAST = 0.02;

void charge_times_init(struct charge_times *t)
{
	memset(t, 0, sizeof *t);
	last_charge_init(&t->last);
}

void charge_times_release(struct charge_times *t)
{
	last_charge_release(&t->last);
	free(t->graded);
	memset(t, 0, sizeof *t);
}

static void set_graded(struct charge_times *t, uint32_t charge, int32_t day)
{
	size_t had = t->cap;

	t->graded = mem_grow(t->graded, &t->cap, charge + 1u, sizeof *t->graded);
	if (t->cap > had)
		memset(t->graded + had, 0, (t->cap - had) * sizeof *t->graded);
	if (day > t->graded[charge])
		t->graded[charge] = day;
}

void charge_times_flow(void *context, const struct stock_flow *f)
{
	struct charge_times *t = context;
	uint32_t charge = f->to.form == FORM_BLADE && f->to.grade && !f->from.grade ? last_charge_of(&t->last, f) : 0;

	if (charge && charge != PROVENANCE_MIXED)
		set_graded(t, charge, f->op->day);
	last_charge_follow(&t->last, f);
}

/* ---- the durations */

struct sums {
	double sum, square;
};

static bool is_under_way(const struct under_way *u, uint32_t charge)
{
	for (size_t i = 0; i < u->nparts; i++)
		if (u->part[i].charge == charge)
			return true;
	return false;
}

static void add_days(struct sums *s, int32_t days)
{
	double x = log((days > 0 ? days : 0) + HALF_A_DAY);

	s->sum += x;
	s->square += x * x;
}

static void add_charge(struct charge_times *t, const struct under_way *u, const struct dry_case *c, struct sums *s)
{
	uint32_t charge = intern_find(&u->stock->ids, c->id);
	int32_t loaded = charges_day(&u->charges, c->load_s), out;

	if (c->end_s == INT64_MAX || !charge || charge >= t->cap || !t->graded[charge] || is_under_way(u, charge))
		return;
	out = charges_day(&u->charges, c->end_s);
	add_days(&s[CHARGE_TIME_KILN], out - loaded);
	add_days(&s[CHARGE_TIME_AFTER], t->graded[charge] - out);
	add_days(&s[CHARGE_TIME_ALL], t->graded[charge] - loaded);
	t->n++;
}

void charge_times_end(struct charge_times *t, const struct under_way *u)
{
	struct sums s[CHARGE_TIMES] = { { 0, 0 } };
	double n;

	for (size_t i = 0; i < u->charges.n; i++)
		add_charge(t, u, &u->charges.cases[i], s);
	n = (double)t->n;
	for (int i = 0; i < CHARGE_TIMES && t->n >= CHARGE_TIMES_LEAST; i++) {
		t->mean[i] = s[i].sum / n;
		t->sd[i] = fmax(sqrt(fmax((s[i].square - s[i].sum * t->mean[i]) / (n - 1), 0)), SD_LEAST);
	}
}

double charge_times_chance(const struct charge_times *t, enum charge_time what, double days)
{
	double n = (double)t->n;

	if (days < 0)
		return 0;
	if (t->n < CHARGE_TIMES_LEAST)
		return 1;
	return dist_t_p((log(days + HALF_A_DAY) - t->mean[what]) / (t->sd[what] * sqrt(1 + 1 / n)), n - 1);
}

double charge_times_median(const struct charge_times *t, enum charge_time what)
{
	return t->n < CHARGE_TIMES_LEAST ? NAN : fmax(exp(t->mean[what]) - HALF_A_DAY, 0);
}
