#include "weigh/mass_lines.h"

#include <limits.h>
#include <math.h>
#include <stdlib.h>

#include "base/intern.h"
#include "house/house.h"

const char *const mass_use_words[] = { "none", "all", "own", "beyond" };

static const double LEVEL_OF_TESTS = 0.05;

void mass_lines_release(struct mass_lines *m)
{
	free(m->group);
	memset(m, 0, sizeof *m);
}

/* ---- groups */

static void group_add(struct mass_group *g, double blank_g)
{
	g->low_g = g->n ? fmin(g->low_g, blank_g) : blank_g;
	g->high_g = g->n ? fmax(g->high_g, blank_g) : blank_g;
	g->mean_g += (blank_g - g->mean_g) / (double)++g->n;
}

static struct mass_group *group_of(struct mass_lines *m, uint32_t key, const struct intern *ids)
{
	for (size_t i = 0; i < m->n; i++)
		if (m->group[i].key == key)
			return &m->group[i];
	m->group = mem_grow(m->group, &m->cap, m->n + 1, sizeof *m->group);
	m->group[m->n] = (struct mass_group){ .key = key, .name = intern_text(ids, key), .column = -1 };
	return &m->group[m->n++];
}

/* The place in the house file, INT_MAX for what is not in it. */
static int rank_of(const struct mass_lines *m, const struct house *house, struct slice name)
{
	int at;

	if (!house || m->by == MASS_BY_SHAPE)
		return INT_MAX;
	at = m->by == MASS_BY_CLASS ? house_class_order(house, name) : house_index(house, HOUSE_TYPE, name);
	return at < 0 ? INT_MAX : at;
}

/* Few groups: put in order by insertion. */
static void sort_groups(struct mass_lines *m, const struct house *house)
{
	for (size_t i = 1; i < m->n; i++) {
		struct mass_group g = m->group[i];
		int rank = rank_of(m, house, g.name);
		size_t k = i;

		for (; k > 0; k--) {
			int before = rank_of(m, house, m->group[k - 1].name);

			if (before < rank || (before == rank && slice_cmp(m->group[k - 1].name, g.name) < 0))
				break;
			m->group[k] = m->group[k - 1];
		}
		m->group[k] = g;
	}
}

/* Those that can have a line: enough pairs, of blanks that are not all of one mass. */
static void number_groups(struct mass_lines *m)
{
	for (size_t i = 0; i < m->n && m->own < MASS_GROUPS_MOST; i++) {
		struct mass_group *g = &m->group[i];

		if (g->key && g->n >= MASS_PAIRS_LEAST && g->low_g < g->high_g)
			g->column = (int)m->own++;
	}
}

const struct mass_group *mass_lines_group(const struct mass_lines *m, uint32_t key)
{
	for (size_t i = 0; i < m->n; i++)
		if (m->group[i].key == key)
			return &m->group[i];
	return NULL;
}

/* ---- fits */

/* 1 and the blank; levels and the blank; levels and slopes. */
static size_t fill_row(enum mass_model model, size_t own, int column, double blank_g, double *x)
{
	size_t levels = model == MASS_ONE ? 1 : own, slopes = model == MASS_OWN ? own : 1;
	size_t level = model == MASS_ONE ? 0 : (size_t)column, slope = model == MASS_OWN ? (size_t)column : 0;

	memset(x, 0, (levels + slopes) * sizeof *x);
	x[level] = 1;
	x[levels + slope] = blank_g;
	return levels + slopes;
}

/* `some`: only pairs of groups that can have lines. */
static void fit_model(const struct mass_lines *m, const struct mass_pairs *pairs, enum mass_model model, bool some, struct fit *fit)
{
	double *x = mem_array(pairs->n * FIT_PARAMETERS_MOST, sizeof *x), *y = mem_array(pairs->n, sizeof *y);
	size_t n = 0, p = model == MASS_OWN ? 2 * m->own : model == MASS_LEVELS ? m->own + 1 : 2;

	for (size_t i = 0; i < pairs->n; i++) {
		const struct mass_pair *pair = &pairs->row[i];
		int column = mass_lines_group(m, pair->key[m->by])->column;

		if (some && column < 0)
			continue;
		fill_row(model, m->own, column, pair->blank_g, x + n * p);
		y[n++] = pair->finished_g;
	}
	fit_line(x, y, n, p, fit);
	free(x);
	free(y);
}

/* Slopes are tested first: where they differ, levels say nothing. */
static void choose(struct mass_lines *m, const struct mass_pairs *pairs)
{
	struct fit one, levels, own;

	m->slopes = m->levels = (struct fit_gain){ NAN, NAN, NAN, NAN };
	if (m->own < 2)
		return;
	fit_model(m, pairs, MASS_ONE, true, &one);
	fit_model(m, pairs, MASS_LEVELS, true, &levels);
	fit_model(m, pairs, MASS_OWN, true, &own);
	m->slopes = fit_gain_of(&levels, &own);
	m->levels = fit_gain_of(&one, &levels);
	if (m->slopes.p < LEVEL_OF_TESTS) {
		m->model = MASS_OWN;
		m->several = own;
	} else if (m->levels.p < LEVEL_OF_TESTS) {
		m->model = MASS_LEVELS;
		m->several = levels;
	}
}

void mass_lines_find(struct mass_lines *m, const struct mass_pairs *pairs, enum mass_key by, const struct house *house, const struct intern *ids)
{
	*m = (struct mass_lines){ .by = by };
	m->slopes = m->levels = (struct fit_gain){ NAN, NAN, NAN, NAN };
	for (size_t i = 0; i < pairs->n; i++) {
		group_add(group_of(m, pairs->row[i].key[by], ids), pairs->row[i].blank_g);
		group_add(&m->all, pairs->row[i].blank_g);
	}
	sort_groups(m, house);
	if (pairs->n < MASS_PAIRS_LEAST)
		return;
	fit_model(m, pairs, MASS_ONE, false, &m->one);
	if (m->one.outcome != FIT_GOOD)
		return;
	m->model = MASS_ONE;
	number_groups(m);
	choose(m, pairs);
}

/* ---- asking */

static int column_of(const struct mass_lines *m, uint32_t key)
{
	const struct mass_group *g = m->model == MASS_LEVELS || m->model == MASS_OWN ? mass_lines_group(m, key) : NULL;

	return g ? g->column : -1;
}

const struct fit *mass_lines_row(const struct mass_lines *m, uint32_t key, double blank_g, double x[FIT_PARAMETERS_MOST])
{
	int column = column_of(m, key);

	if (m->model == MASS_NONE)
		return NULL;
	fill_row(column < 0 ? MASS_ONE : m->model, m->own, column, blank_g, x);
	return column < 0 ? &m->one : &m->several;
}

/* Whether the group has enough pairs by itself, though its line may be that of all. */
static bool is_known(const struct mass_lines *m, uint32_t key)
{
	const struct mass_group *g = mass_lines_group(m, key);

	return g && g->key && g->n >= MASS_PAIRS_LEAST;
}

enum mass_use mass_lines_at(const struct mass_lines *m, uint32_t key, double blank_g, struct prediction *at)
{
	double x[FIT_PARAMETERS_MOST];
	const struct fit *fit = mass_lines_row(m, key, blank_g, x);

	*at = (struct prediction){ NAN, NAN, NAN, NAN };
	if (!fit)
		return MASS_USE_NONE;
	if (!is_known(m, key) && (blank_g < m->all.low_g || blank_g > m->all.high_g))
		return MASS_USE_BEYOND;
	*at = prediction_at(fit, x);
	return fit == &m->one ? MASS_USE_ALL : MASS_USE_OWN;
}

bool mass_lines_has(const struct mass_lines *m, uint32_t key)
{
	return m->model == MASS_ONE || (m->model != MASS_NONE && column_of(m, key) >= 0);
}

struct mass_line mass_lines_of(const struct mass_lines *m, const struct mass_group *group)
{
	int column = group == &m->all ? -1 : column_of(m, group->key);
	const struct fit *fit = column < 0 ? &m->one : &m->several;
	size_t level = column < 0 ? 0 : (size_t)column;
	size_t slope = column < 0 ? 1 : m->model == MASS_OWN ? m->own + (size_t)column : m->own;

	if (m->model == MASS_NONE)
		return (struct mass_line){ NAN, NAN, NAN };
	return (struct mass_line){ fit->parameter[level], fit->parameter[slope], fit->error[slope] };
}
