#include "yield/yield_baseline.h"

#include <math.h>
#include <stdlib.h>

#include "math/false_discovery.h"
#include "time/calendar.h"
#include "yield/loss_log.h"
#include "yield/yield_rows.h"

static const double FALSE_MOST = 0.05, SURE = 0.95;

/* Pieces of a row that were lost for a cause in a period. */
struct part {
	size_t row, period;
	struct slice cause;
	bool waited;
	int64_t n, money;
};

/* ---- periods */

static void find_edges(struct yield_baseline *b)
{
	const struct yield_ask *ask = b->rows->ask;

	b->months = (size_t)ask->baseline;
	b->edge = mem_array(b->months + 1, sizeof *b->edge);
	for (size_t i = 0; i <= b->months; i++)
		b->edge[i] = day_months_before(ask->since, (int64_t)(b->months - i));
}

/* The last period that began by that day. */
static size_t period_of(const struct yield_baseline *b, int32_t day)
{
	size_t low = 0, high = b->months + 1;

	while (high - low > 1) {
		size_t mid = low + (high - low) / 2;

		if (b->edge[mid] <= day)
			low = mid;
		else
			high = mid;
	}
	return low;
}

static bool is_counted(const struct yield_baseline *b, size_t row)
{
	return b->rows->row[row].head.step != YIELD_ALL_STEPS;
}

/* ---- how many could have been lost: by row and period, on lines that take pieces out of the step, and in it at all */

struct risk {
	int64_t *judged, *there;
};

/* A stay, which counts in each period that it reaches into. */
static void add_stay(const struct yield_baseline *b, const struct stage_stay *s, size_t row, struct risk *risk)
{
	size_t at = row * (b->months + 1), last = period_of(b, s->since + s->days);

	for (size_t i = period_of(b, s->since); i <= last; i++)
		risk->there[at + i] += s->n;
	if (s->end == STAGE_END_OUT || s->end == STAGE_END_CULLED)
		risk->judged[at + last] += s->n;
}

static struct risk find_risk(const struct yield_baseline *b)
{
	const struct stages *w = b->rows->stages;
	size_t all = b->rows->nrows * (b->months + 1);
	struct risk risk = { mem_zeroed(all, sizeof *risk.judged), mem_zeroed(all, sizeof *risk.there) };

	for (size_t i = 0; i < w->nstays; i++) {
		const size_t *row;
		size_t nrows = yield_rows_of(b->rows, w->stay[i].cell, &row);

		for (size_t k = 0; k < nrows; k++)
			if (is_counted(b, row[k]))
				add_stay(b, &w->stay[i], row[k], &risk);
	}
	return risk;
}

static void release_risk(struct risk *risk)
{
	free(risk->judged);
	free(risk->there);
}

/* ---- how many were lost */

static int by_cause(const void *a, const void *b)
{
	const struct part *x = a, *y = b;
	int order = (x->row > y->row) - (x->row < y->row);

	order = order ? order : slice_cmp(x->cause, y->cause);
	return order ? order : (x->period > y->period) - (x->period < y->period);
}

static struct part *parts_of(const struct yield_baseline *b, const struct loss_log *log, size_t *n)
{
	const struct stages *w = b->rows->stages;
	struct part *part = mem_array(log->n * YIELD_ROWS_MOST, sizeof *part);

	*n = 0;
	for (size_t i = 0; i < log->n; i++) {
		const struct logged_loss *l = &log->row[i];
		const size_t *row;
		size_t nrows = yield_rows_of(b->rows, w->loss[l->loss].cell, &row);

		for (size_t k = 0; k < nrows; k++)
			if (is_counted(b, row[k]))
				part[(*n)++] = (struct part){ row[k], period_of(b, l->day), stock_text(w->stock, w->loss[l->loss].cause), l->waited, l->n, l->money };
	}
	if (*n)
		qsort(part, *n, sizeof *part, by_cause);
	return part;
}

/* ---- the comparison */

static void expect(const struct yield_baseline *b, struct baseline_loss *l, const struct share_period *period)
{
	l->known = l->before_of > 0 && l->of > 0;
	if (!l->known)
		return;
	l->outlook = share_outlook_of(period, b->months);
	l->expected = (double)l->of * l->outlook.share;
	l->known = share_outlook_range(&l->outlook, l->of, SURE, &l->low, &l->high);
	l->p = share_outlook_tail(&l->outlook, l->n, l->of);
}

/* One row's losses for one cause. `period` has room for each period. */
static struct baseline_loss compare(const struct yield_baseline *b, const struct part *part, size_t n, const struct risk *risk, struct share_period *period)
{
	struct baseline_loss l = { .row = part->row, .cause = part->cause, .p = NAN, .adjusted = NAN };
	int64_t waited = 0;

	memset(period, 0, (b->months + 1) * sizeof *period);
	for (size_t i = 0; i < n; i++) {
		period[part[i].period].k += part[i].n;
		*(part[i].period == b->months ? &l.money : &l.before_money) += part[i].money;
		waited += part[i].waited ? part[i].n : -part[i].n;
	}
	l.waited = waited > 0;
	for (size_t i = 0; i <= b->months; i++) {
		int64_t all = (l.waited ? risk->there : risk->judged)[part->row * (b->months + 1) + i];

		period[i].n = all > period[i].k ? all : period[i].k;
		*(i == b->months ? &l.n : &l.before_n) += period[i].k;
		*(i == b->months ? &l.of : &l.before_of) += period[i].n;
	}
	expect(b, &l, period);
	return l;
}

static void find_moved(struct yield_baseline *b)
{
	double *p = mem_array(b->n, sizeof *p);
	size_t n = 0;

	for (size_t i = 0; i < b->n; i++)
		if (b->loss[i].known)
			p[n++] = b->loss[i].p;
	if (n)
		false_discovery_adjust(p, n, p);
	n = 0;
	for (size_t i = 0; i < b->n; i++) {
		struct baseline_loss *l = &b->loss[i];

		if (!l->known)
			continue;
		l->adjusted = p[n++];
		l->moved = l->adjusted > FALSE_MOST ? 0 : (double)l->n > l->expected ? 1 : -1;
	}
	free(p);
}

static int by_rank(const struct baseline_loss *x, const struct baseline_loss *y, bool money)
{
	int order = (x->row > y->row) - (x->row < y->row);

	if (!order && money)
		order = (x->money < y->money) - (x->money > y->money);
	order = order ? order : (x->n < y->n) - (x->n > y->n);
	order = order ? order : (x->before_n < y->before_n) - (x->before_n > y->before_n);
	return order ? order : slice_cmp(x->cause, y->cause);
}

static int by_pieces(const void *a, const void *b)
{
	return by_rank(a, b, false);
}

static int by_money(const void *a, const void *b)
{
	return by_rank(a, b, true);
}

/* To the sums of all keys; whether it is a row of the answer. */
static bool add_up(struct yield_baseline *b, const struct baseline_loss *l)
{
	if (l->row >= yield_rows_total(b->rows)) {
		b->culled += l->n;
		b->money += l->money;
		b->before_money += l->before_money;
		b->expected += l->known ? l->expected : 0;
	}
	return l->of > 0;
}

void yield_baseline_init(struct yield_baseline *b, const struct yield_rows *rows, const struct loss_log *log)
{
	struct share_period *period;
	struct part *part;
	struct risk risk;
	size_t n;

	*b = (struct yield_baseline){ .rows = rows };
	find_edges(b);
	risk = find_risk(b);
	part = parts_of(b, log, &n);
	period = mem_array(b->months + 1, sizeof *period);
	b->loss = mem_array(n, sizeof *b->loss);
	for (size_t i = 0, k; i < n; i = k) {
		for (k = i; k < n && part[k].row == part[i].row && slice_eq(part[k].cause, part[i].cause);)
			k++;
		b->loss[b->n] = compare(b, part + i, k - i, &risk, period);
		b->n += add_up(b, &b->loss[b->n]);
	}
	find_moved(b);
	if (b->n)
		qsort(b->loss, b->n, sizeof *b->loss, rows->ask->by_money ? by_money : by_pieces);
	free(period);
	free(part);
	release_risk(&risk);
}

void yield_baseline_release(struct yield_baseline *b)
{
	free(b->edge);
	free(b->loss);
	*b = (struct yield_baseline){ .rows = NULL };
}
