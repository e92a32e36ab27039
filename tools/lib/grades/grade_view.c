#include "grades/grade_view.h"

#include <stdlib.h>

#include "grades/grade_mix.h"
#include "house/house.h"
#include "math/stats.h"
#include "stock/stock_cells.h"

/* ---- the order of rows and of grades */

/* One grade; qsort() hands no context through, so what it is sorted by is looked up before. */
struct column {
	uint32_t grade;
	int rank;
	struct slice word;
};

struct grade_order {
	struct column *column;
	size_t n;
};

static int by_key(const void *a, const void *b)
{
	const struct grade_group *x = *(const struct grade_group *const *)a, *y = *(const struct grade_group *const *)b;
	int order = 0;

	for (int i = 0; !order && i < GRADE_KEYS; i++)
		order = slice_cmp(x->key[i], y->key[i]);
	return order;
}

static int by_rank(const void *a, const void *b)
{
	const struct column *x = a, *y = b;

	if (x->rank != y->rank)
		return x->rank < y->rank ? -1 : 1;
	return slice_cmp(x->word, y->word);
}

static int rank_of(const struct grade_mix *m, const struct house *house, uint32_t grade)
{
	int rank = -1;

	if (grade <= GRADE_NONE)
		return grade == GRADE_CULLED ? INT32_MAX : INT32_MAX - 1;
	if (house)
		rank = house_grade_rank(house, m->last, intern_text(&m->grades, grade));
	return rank < 0 ? INT32_MAX - 2 : rank;
}

/* Without the space in front, which no grade has. */
static struct slice grade_word(const struct grade_mix *m, uint32_t grade)
{
	struct slice word = intern_text(&m->grades, grade);

	return grade <= GRADE_NONE ? slice_from(word, 1) : word;
}

static struct grade_order grades_in_order(const struct grade_mix *m, const struct house *house)
{
	struct grade_order order = { mem_array(m->grades.n, sizeof *order.column), 0 };

	for (uint32_t i = 1; i < m->grades.n; i++)
		if (i != GRADE_NONE || m->ungraded)
			order.column[order.n++] = (struct column){ i, rank_of(m, house, i), grade_word(m, i) };
	qsort(order.column, order.n, sizeof *order.column, by_rank);
	return order;
}

/* The groups by their keys; the caller frees them. */
static const struct grade_group **groups_in_order(const struct grade_mix *m)
{
	size_t n = grade_mix_groups(m);
	const struct grade_group **group = mem_array(n, sizeof *group);

	for (size_t i = 0; i < n; i++)
		group[i] = &m->group[i];
	if (n)
		qsort(group, n, sizeof *group, by_key);
	return group;
}

/* ---- cells */

static struct grade_count count_of(const struct grade_mix *m, const struct grade_group *g, uint32_t grade)
{
	return grade_mix_count(m, (size_t)(g - m->group), grade);
}

static void add_key_columns(const struct grade_ask *ask, struct table *t)
{
	for (size_t i = 0; i < ask->nby; i++)
		table_add_column(t, grade_by_words[ask->by[i]], TABLE_TEXT, 0);
}

static void put_keys(const struct grade_ask *ask, struct table *t, const struct grade_group *g)
{
	for (size_t i = 0; i < ask->nby; i++)
		stock_cell_word(t, g->key[i]);
}

static void put_share(struct table *t, int64_t k, int64_t n)
{
	if (n)
		table_real(t, (double)k / (double)n);
	else
		table_absent(t);
}

static void put_interval(struct table *t, int64_t k, int64_t n)
{
	double low, high;

	put_share(t, k, n);
	if (wilson_interval(k, n, NORMAL_975, &low, &high)) {
		table_real(t, low);
		table_real(t, high);
	} else {
		table_absent(t);
		table_absent(t);
	}
}

/* ---- a row for each grade */

static void add_long_columns(const struct grade_ask *ask, struct table *t)
{
	add_key_columns(ask, t);
	table_add_column(t, "grade", TABLE_TEXT, 0);
	table_add_column(t, "count", TABLE_INT, 0);
	table_add_column(t, "of", TABLE_INT, 0);
	table_add_column(t, "share", TABLE_REAL, 3);
	table_add_column(t, "share_low", TABLE_REAL, 3);
	table_add_column(t, "share_high", TABLE_REAL, 3);
	if (!ask->has_baseline)
		return;
	table_add_column(t, "baseline_of", TABLE_INT, 0);
	table_add_column(t, "baseline_share", TABLE_REAL, 3);
}

static void put_long(const struct grade_mix *m, struct table *t, const struct grade_group *g, const struct grade_order *grades)
{
	for (size_t i = 0; i < grades->n; i++) {
		struct grade_count c = count_of(m, g, grades->column[i].grade);

		if (!c.now && !c.before)
			continue;
		put_keys(m->ask, t, g);
		table_text(t, grades->column[i].word);
		table_int(t, c.now);
		table_int(t, g->now);
		put_interval(t, c.now, g->now);
		if (m->ask->has_baseline) {
			table_int(t, g->before);
			put_share(t, c.before, g->before);
		}
	}
}

/* ---- a column of shares for each grade */

static void add_share_columns(struct table *t, const char *of, const char *share, const struct grade_order *grades)
{
	struct buf name = BUF_INIT;

	table_add_column(t, of, TABLE_INT, 0);
	for (size_t i = 0; i < grades->n; i++) {
		name.n = 0;
		buf_str(&name, share);
		buf_add(&name, grades->column[i].word);
		table_add_column(t, buf_cstr(&name), TABLE_REAL, 3);
	}
	buf_release(&name);
}

static void add_wide_columns(const struct grade_ask *ask, struct table *t, const struct grade_order *grades)
{
	add_key_columns(ask, t);
	add_share_columns(t, "of", "share_", grades);
	if (ask->has_baseline)
		add_share_columns(t, "baseline_of", "baseline_share_", grades);
}

static void put_wide(const struct grade_mix *m, struct table *t, const struct grade_group *g, const struct grade_order *grades)
{
	put_keys(m->ask, t, g);
	table_int(t, g->now);
	for (size_t i = 0; i < grades->n; i++)
		put_share(t, count_of(m, g, grades->column[i].grade).now, g->now);
	if (!m->ask->has_baseline)
		return;
	table_int(t, g->before);
	for (size_t i = 0; i < grades->n; i++)
		put_share(t, count_of(m, g, grades->column[i].grade).before, g->before);
}

void grade_view(const struct grade_mix *m, const struct house *house, struct table *t)
{
	struct grade_order grades = grades_in_order(m, house);
	const struct grade_group **group = groups_in_order(m);

	table_init(t, NULL, 0);
	if (m->ask->wide)
		add_wide_columns(m->ask, t, &grades);
	else
		add_long_columns(m->ask, t);
	for (size_t i = 0; i < grade_mix_groups(m); i++)
		(m->ask->wide ? put_wide : put_long)(m, t, group[i], &grades);
	if (!m->ask->wide)
		table_note(t, SLICE("share_low to share_high: 95 % interval (Wilson), if the blades are a fair sample of such wood"));
	free(group);
	free(grades.column);
}
