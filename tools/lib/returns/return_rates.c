#include "returns/return_rates.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "house/house.h"
#include "math/false_discovery.h"

const char *const return_by_words[] = { "cause", "handle", "charge", "lot", "parcel", "supplier", "type", "grade", "season", "month", "customer",
	"driest", "stored", NULL };

static const double SURE = 0.95;

bool return_counts(const struct return_ask *ask, const struct bat_life *life)
{
	if (ask->without && life->word[ask->without_kind] == ask->without)
		return false;
	return life->sold >= ask->from && life->sold <= ask->to;
}

bool return_is_back(const struct return_ask *ask, const struct bat_lives *lives, const struct bat_life *life)
{
	return life->back && (!ask->cause || slice_eq(intern_text(&lives->words, life->cause), slice_of(ask->cause)));
}

/* ---- the key of a life */

const enum life_word return_word_of[RETURN_BYS] = { 0, LIFE_HANDLE, LIFE_CHARGE, LIFE_LOT, LIFE_PARCEL, LIFE_SUPPLIER, LIFE_TYPE, LIFE_GRADE,
	LIFE_SEASON, LIFE_MONTH, LIFE_CUSTOMER, 0, 0 };

/* Ends of the classes of months in store. */
static const int STORED[] = { 0, 1, 2, 3, 6, 9, 12, 18, 24 };
enum { STOREDS = sizeof STORED / sizeof *STORED };

/* A class of a figure, as a text and its lower end; empty where the figure is not known. */
static void class_of(enum return_by by, double figure, struct buf *text, double *score)
{
	int at = 0;

	*score = NAN;
	if (isnan(figure))
		return;
	if (by == RETURN_BY_DRIEST) {
		*score = floor(figure);
		buf_printf(text, "%.0f..%.0f %%", *score, *score + 1);
		return;
	}
	while (at + 1 < STOREDS && figure >= STORED[at + 1])
		at++;
	*score = STORED[at];
	if (at + 1 < STOREDS)
		buf_printf(text, "%d..%d months", STORED[at], STORED[at + 1]);
	else
		buf_printf(text, "%d.. months", STORED[at]);
}

static double score_of(const struct return_ask *ask, enum return_by by, struct slice key, int32_t today)
{
	int32_t day;
	struct buf date = BUF_INIT;
	double score = NAN;

	if (by == RETURN_BY_GRADE && key.n) {
		int order = house_grade_order(ask->house, today, key);

		return ask->house && order < INT_MAX ? (double)order : (double)NAN;
	}
	if (by != RETURN_BY_MONTH || !key.n)
		return NAN;
	buf_add(&date, key);
	buf_str(&date, "-01");
	if (date_read(buf_slice(&date), &day) == DATE_OK)
		score = day;
	buf_release(&date);
	return score;
}

/* ---- the rows */

/* The row of a word of the lives. */
static struct return_row *row_of(struct return_rates *r, const struct bat_lives *lives, uint32_t word, double score)
{
	size_t had = r->rows_of;

	r->row_of = mem_grow(r->row_of, &r->rows_of, word + 1u, sizeof *r->row_of);
	if (r->rows_of > had)
		memset(r->row_of + had, 0, (r->rows_of - had) * sizeof *r->row_of);
	if (r->row_of[word])
		return &r->row[r->row_of[word] - 1];
	r->row = mem_grow(r->row, &r->cap, r->n + 1, sizeof *r->row);
	r->row[r->n] = (struct return_row){ .key = intern_text(&lives->words, word), .score = score };
	r->row_of[word] = ++r->n;
	return &r->row[r->n - 1];
}

static void count(struct return_count *c, bool back, double months)
{
	c->bats++;
	c->back += back;
	c->months += months;
}

/* The key's text is among the lives' words, so that it lasts. */
static void add_life(struct return_rates *r, struct bat_lives *lives, const struct return_ask *ask, const struct bat_life *life, bool back, double months)
{
	struct buf text = BUF_INIT;
	uint32_t word = life->word[return_word_of[r->by]];
	double score = NAN;

	if (r->by == RETURN_BY_DRIEST || r->by == RETURN_BY_STORED) {
		class_of(r->by, life->figure[r->by == RETURN_BY_DRIEST ? LIFE_DRIEST : LIFE_STORED], &text, &score);
		word = intern_id(&lives->words, buf_slice(&text));
		buf_release(&text);
	} else if (word >= r->rows_of || !r->row_of[word])
		score = score_of(ask, r->by, intern_text(&lives->words, word), lives->trace->today);
	count(&row_of(r, lives, word, score)->count, back, months);
}

/* Every bat could have come back for each cause. */
static void add_causes(struct return_rates *r, const struct bat_lives *lives, const struct return_ask *ask)
{
	for (size_t i = 0; i < lives->n; i++)
		if (return_counts(ask, &lives->life[i]) && return_is_back(ask, lives, &lives->life[i]))
			row_of(r, lives, lives->life[i].cause, NAN)->count.back++;
	for (size_t i = 0; i < r->n; i++) {
		r->row[i].count.bats = r->all.bats;
		r->row[i].count.months = r->all.months;
	}
}

static int by_most(const void *a, const void *b)
{
	const struct return_row *x = a, *y = b;

	if (x->count.back != y->count.back)
		return x->count.back > y->count.back ? -1 : 1;
	if (x->count.bats != y->count.bats)
		return x->count.bats > y->count.bats ? -1 : 1;
	return slice_cmp(x->key, y->key);
}

/* Those without a score last. */
static int by_score(const void *a, const void *b)
{
	const struct return_row *x = a, *y = b;

	if (isnan(x->score) != isnan(y->score))
		return isnan(x->score) ? 1 : -1;
	if (!isnan(x->score) && (x->score < y->score || x->score > y->score))
		return x->score < y->score ? -1 : 1;
	return slice_cmp(x->key, y->key);
}

/* ---- comparisons */

size_t return_adjust(const double *p, const double *least_p, size_t n, double fdr, double *adjusted)
{
	bool *kept = mem_array(n + 1, sizeof *kept);
	double *some = mem_array(n + 1, sizeof *some);
	size_t m = false_discovery_keep(least_p, n, fdr, kept), at = 0;

	for (size_t i = 0; i < n; i++)
		if (kept[i])
			some[at++] = p[i];
	false_discovery_adjust(some, m, some);
	at = 0;
	for (size_t i = 0; i < n; i++)
		adjusted[i] = kept[i] ? some[at++] : NAN;
	free(kept);
	free(some);
	return m;
}

static void compare_one(const struct return_rates *r, struct return_row *row)
{
	const struct return_count *c = &row->count, *all = &r->all;

	row->p = row->least_p = row->adjusted = NAN;
	if (r->by == RETURN_BY_CAUSE || c->bats < RETURN_LEAST || c->bats == all->bats || !all->back)
		return;
	row->p = event_rate_differs_p(c->back, c->months, all->back - c->back, all->months - c->months);
	row->least_p = event_rate_least_p(all->back, c->months, all->months - c->months);
}

static void compare(struct return_rates *r, double fdr)
{
	double *p = mem_array(3 * r->n + 1, sizeof *p), *least = p + r->n, *adjusted = least + r->n;
	size_t n = 0;

	for (size_t i = 0; i < r->n; i++) {
		compare_one(r, &r->row[i]);
		if (isnan(r->row[i].p))
			continue;
		p[n] = r->row[i].p;
		least[n++] = r->row[i].least_p;
	}
	r->comparisons = return_adjust(p, least, n, fdr, adjusted);
	r->left_out = n - r->comparisons;
	n = 0;
	for (size_t i = 0; i < r->n; i++)
		if (!isnan(r->row[i].p))
			r->row[i].adjusted = adjusted[n++];
	free(p);
}

static struct trend trend(const struct return_rates *r)
{
	struct trend_group *group = mem_array(r->n + 1, sizeof *group);
	struct trend t;
	size_t n = 0;

	for (size_t i = 0; i < r->n; i++)
		if (!isnan(r->row[i].score))
			group[n++] = (struct trend_group){ r->row[i].count.back, r->row[i].count.bats, r->row[i].score };
	t = trend_of(group, n);
	free(group);
	return t;
}

void return_rates_compare(struct return_rates *r, struct bat_lives *lives, const struct return_ask *ask, enum return_by by)
{
	*r = (struct return_rates){ .by = by };
	r->ordered = by == RETURN_BY_DRIEST || by == RETURN_BY_STORED || by == RETURN_BY_MONTH || (by == RETURN_BY_GRADE && ask->house);
	for (size_t i = 0; i < lives->n; i++) {
		const struct bat_life *life = &lives->life[i];
		bool back = return_is_back(ask, lives, life);
		double months;

		if (!return_counts(ask, life))
			continue;
		months = bat_life_months(life);
		count(&r->all, back, months);
		if (by != RETURN_BY_CAUSE)
			add_life(r, lives, ask, life, back, months);
	}
	if (by == RETURN_BY_CAUSE)
		add_causes(r, lives, ask);
	if (r->n)
		qsort(r->row, r->n, sizeof *r->row, r->ordered ? by_score : by_most);
	compare(r, ask->fdr);
}

void return_rates_find(struct return_rates *r, struct bat_lives *lives, const struct return_ask *ask, enum return_by by)
{
	return_rates_compare(r, lives, ask, by);
	for (size_t i = 0; i < r->n; i++) {
		const struct return_count *c = &r->row[i].count;

		r->row[i].rate = event_rate(c->back, c->months, SURE);
		r->row[i].share = sampling_share(c->back, c->bats, SURE);
	}
	r->trend = trend(r);
}

void return_rates_release(struct return_rates *r)
{
	free(r->row);
	free(r->row_of);
	*r = (struct return_rates){ .n = 0 };
}
