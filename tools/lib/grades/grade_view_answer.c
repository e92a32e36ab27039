#include "grades/grade_view_internal.h"

#include <stdlib.h>

#include "stock/stock_cells.h"

/* ---- grades in order */

static int by_rank(const void *a, const void *b)
{
	const struct grade_column *x = a, *y = b;

	if (x->rank != y->rank)
		return x->rank < y->rank ? -1 : 1;
	return slice_cmp(x->word, y->word);
}

/* `day`: as the scheme in force on it has them. */
static int rank_of(const struct grade_answer *a, int32_t day, uint32_t grade)
{
	int rank = -1;

	if (grade <= GRADE_NONE)
		return grade == GRADE_CULLED ? INT32_MAX : INT32_MAX - 1;
	if (a->house)
		rank = house_grade_order(a->house, day, intern_text(&a->m->grades, grade));
	return rank < 0 || rank > GRADE_RANKS ? GRADE_RANKS : rank;
}

/* Without the space in front, which no grade has. */
static struct slice grade_word(const struct grade_mix *m, uint32_t grade)
{
	struct slice word = intern_text(&m->grades, grade);

	return grade <= GRADE_NONE ? slice_from(word, 1) : word;
}

/* Whether a group of the scheme, or of any where it is NULL and `any`, has the grade. */
static bool is_given(const struct grade_answer *a, const struct house_scheme *scheme, bool any, uint32_t grade)
{
	for (size_t i = 0; i < a->ngroups; i++) {
		struct grade_count c = grade_answer_count(a, i, grade);

		if ((any || a->group[i]->scheme == scheme) && (c.now || c.before))
			return true;
	}
	return false;
}

/* The culled are always among them. */
static void list_grades(const struct grade_answer *a, struct grade_order *order, bool any, int32_t day)
{
	const struct grade_mix *m = a->m;

	order->column = mem_array(m->grades.n, sizeof *order->column);
	for (uint32_t i = 1; i < m->grades.n; i++)
		if (i == GRADE_CULLED || is_given(a, order->scheme, any, i))
			order->column[order->n++] = (struct grade_column){ .grade = i, .rank = rank_of(a, day, i), .word = grade_word(m, i) };
	qsort(order->column, order->n, sizeof *order->column, by_rank);
}

static size_t count_kinds(const struct grade_order *order)
{
	size_t kinds = order->scheme ? order->scheme->list.n : 0;

	for (size_t i = 0; i < order->n; i++)
		kinds += !order->scheme || order->column[i].rank >= (int)order->scheme->list.n;
	return kinds;
}

/* ---- the spread of shares between lots */

/* Where the wood is from: a lot is then in one row, and rows may differ by more than lots of one row do. */
static bool by_origin(const struct grade_ask *ask)
{
	for (size_t i = 0; i < ask->nby; i++)
		if (ask->by[i] != GRADE_BY_TREE && ask->by[i] != GRADE_BY_PARCEL && ask->by[i] != GRADE_BY_SUPPLIER && ask->by[i] != GRADE_BY_SCHEME)
			return false;
	return true;
}

static void find_spread(const struct grade_mix *m, const struct house_scheme *scheme, struct grade_column *column)
{
	size_t groups = grade_mix_groups(m);

	for (size_t i = 0; i < grade_mix_lots(m); i++) {
		struct grade_count c = grade_mix_lot_count(m, i, column->grade);

		if (m->group[m->lot[i].group].scheme != scheme)
			continue;
		spread_add(&column->spread, m->lot[i].group, m->lot[i].lot, c.now, m->lot[i].now);
		spread_add(&column->before, m->lot[i].group, m->lot[i].lot, c.before, m->lot[i].before);
	}
	spread_end(&column->spread, groups, by_origin(m->ask));
	spread_end(&column->before, groups, by_origin(m->ask));
}

/* ---- schemes */

static void add_order(struct grade_answer *a, const struct house_scheme *scheme)
{
	struct grade_order *order = &a->order[a->norders++];

	*order = (struct grade_order){ .scheme = scheme };
	list_grades(a, order, false, scheme ? scheme->from : a->m->last);
	order->kinds = count_kinds(order);
	for (size_t i = 0; i < a->ngroups; i++) {
		if (a->group[i]->scheme != scheme)
			continue;
		order->now += a->group[i]->now;
		order->before += a->group[i]->before;
	}
	for (size_t i = 0; i < order->n; i++)
		find_spread(a->m, scheme, &order->column[i]);
}

static bool has_scheme(const struct grade_answer *a, const struct house_scheme *scheme)
{
	for (size_t i = 0; i < a->ngroups; i++)
		if (a->group[i]->scheme == scheme)
			return true;
	return false;
}

static void find_orders(struct grade_answer *a)
{
	size_t n = a->house ? a->house->nschemes : 0;

	a->order = mem_zeroed(n + 1, sizeof *a->order);
	for (size_t i = n; i-- > 0;)
		if (has_scheme(a, &a->house->schemes[i]))
			add_order(a, &a->house->schemes[i]);
	if (has_scheme(a, NULL))
		add_order(a, NULL);
	list_grades(a, &a->all, true, a->m->last);
}

/* ---- groups in order */

/* A group with the places of its keys: of schemes and of the grade that blades had before, the house's; else 0. */
struct ranked_group {
	const struct grade_group *group;
	int rank[GRADE_KEYS];
};

static int by_key(const void *a, const void *b)
{
	const struct ranked_group *x = a, *y = b;
	int order = 0;

	for (int i = 0; !order && i < GRADE_KEYS; i++) {
		order = (x->rank[i] > y->rank[i]) - (x->rank[i] < y->rank[i]);
		order = order ? order : slice_cmp(x->group->key[i], y->group->key[i]);
	}
	return order;
}

static int rank_of_key(const struct grade_answer *a, const struct grade_group *g, size_t k)
{
	if (a->m->by[k] == GRADE_BY_SCHEME)
		return g->scheme ? (int)(g->scheme - a->house->schemes) : -1;
	return a->m->by[k] == GRADE_BY_WAS ? house_grade_order(a->house, g->scheme ? g->scheme->from : a->m->last, g->key[k]) : 0;
}

static void sort_groups(struct grade_answer *a)
{
	size_t n = a->ngroups;
	struct ranked_group *ranked = mem_zeroed(n + 1, sizeof *ranked);

	a->group = mem_array(n + 1, sizeof *a->group);
	for (size_t i = 0; i < n; i++) {
		ranked[i].group = &a->m->group[i];
		for (size_t k = 0; k < a->m->nby; k++)
			ranked[i].rank[k] = rank_of_key(a, ranked[i].group, k);
	}
	if (n)
		qsort(ranked, n, sizeof *ranked, by_key);
	for (size_t i = 0; i < n; i++)
		a->group[i] = ranked[i].group;
	free(ranked);
}

/* ---- all of it */

void grade_answer_init(struct grade_answer *a, const struct grade_mix *m, const struct house *house)
{
	*a = (struct grade_answer){ .m = m, .house = house, .ngroups = grade_mix_groups(m) };
	sort_groups(a);
	find_orders(a);
	a->nkeys = m->nby > m->ask->nby && a->norders < 2 ? m->ask->nby : m->nby;
}

static void release_order(struct grade_order *order)
{
	for (size_t i = 0; i < order->n; i++) {
		spread_release(&order->column[i].spread);
		spread_release(&order->column[i].before);
	}
	free(order->column);
}

void grade_answer_release(struct grade_answer *a)
{
	for (size_t i = 0; i < a->norders; i++)
		release_order(&a->order[i]);
	free(a->order);
	free(a->all.column);
	free(a->group);
}

size_t grade_answer_at(const struct grade_answer *a, size_t i)
{
	return (size_t)(a->group[i] - a->m->group);
}

const struct grade_order *grade_answer_order(const struct grade_answer *a, size_t i)
{
	const struct grade_order *order = a->order;

	while (order->scheme != a->group[i]->scheme)
		order++;
	return order;
}

struct grade_count grade_answer_count(const struct grade_answer *a, size_t i, uint32_t grade)
{
	return grade_mix_count(a->m, grade_answer_at(a, i), grade);
}

struct grade_count grade_answer_all(const struct grade_answer *a, const struct grade_order *order, uint32_t grade)
{
	struct grade_count all = { 0, 0 };

	for (size_t i = 0; i < a->ngroups; i++) {
		struct grade_count c = grade_answer_count(a, i, grade);

		if (a->group[i]->scheme != order->scheme)
			continue;
		all.now += c.now;
		all.before += c.before;
	}
	return all;
}

const struct grade_order *grade_answer_latest(const struct grade_answer *a)
{
	for (size_t i = 0; i < a->norders; i++)
		if (a->order[i].now)
			return &a->order[i];
	return NULL;
}

void grade_answer_key_columns(const struct grade_answer *a, struct table *t)
{
	for (size_t i = 0; i < a->nkeys; i++) {
		table_add_column(t, grade_by_words[a->m->by[i]], TABLE_TEXT, 0);
		table_heading(t, grade_by_words[a->m->by[i]]);
	}
}

void grade_answer_keys(const struct grade_answer *a, size_t i, struct table *t)
{
	for (size_t k = 0; k < a->nkeys; k++)
		stock_cell_word(t, a->group[i]->key[k]);
}

/* The smaller degrees of freedom of those that are known. */
static double less(double df, const struct spread_found *found)
{
	return found->known && (!(df > 0) || found->df < df) ? found->df : df;
}

double grade_answer_parts(const struct grade_answer *a, const struct grade_order *order, size_t i, struct mix_part *part)
{
	bool all = i == a->ngroups;
	size_t at = all ? 0 : grade_answer_at(a, i);
	double df = 0;

	for (size_t k = 0; k < order->n; k++) {
		const struct grade_column *c = &order->column[k];
		struct grade_count n = all ? grade_answer_all(a, order, c->grade) : grade_answer_count(a, i, c->grade);

		part[k] = (struct mix_part){ n.now, n.before, all ? c->spread.design_all : c->spread.design[at], all ? c->before.design_all : c->before.design[at], 0 };
		df = less(df, all ? &c->spread.all : &c->spread.rows);
		df = less(df, all ? &c->before.all : &c->before.rows);
	}
	return df;
}
