#include <math.h>

#include "grades/grade_mix.h"
#include "grades/grade_view_internal.h"
#include "math/stats.h"
#include "stock/stock_say.h"
#include "table/table.h"

struct seen {
	const struct grade_mix *m;
	const struct grade_group *const *group;
	size_t ngroups;
	int64_t now, before; /* blades of all groups that were graded */
};

static struct grade_count count_in(const struct seen *s, size_t i, uint32_t grade)
{
	return grade_mix_count(s->m, (size_t)(s->group[i] - s->m->group), grade);
}

static struct grade_count count_all(const struct seen *s, uint32_t grade)
{
	struct grade_count all = { 0, 0 };

	for (size_t i = 0; i < s->ngroups; i++) {
		struct grade_count c = count_in(s, i, grade);

		all.now += c.now;
		all.before += c.before;
	}
	return all;
}

static double share(int64_t k, int64_t n)
{
	return (double)k / (double)n;
}

/* ---- the best grade */

/* The days that are counted; up to the last day with a blade where no end is asked for. */
static void add_period(const struct grade_mix *m, struct buf *text)
{
	const struct grade_ask *ask = m->ask;

	if (ask->from != INT32_MIN) {
		buf_str(text, " from ");
		stock_say_day(text, ask->from);
		buf_str(text, " to ");
	} else
		buf_str(text, " up to ");
	stock_say_day(text, ask->to != INT32_MAX && (ask->from != INT32_MIN || ask->to < m->last) ? ask->to : m->last);
	buf_str(text, ", ");
}

static void say_best(const struct seen *s, const struct grade_column *best, struct buf *text)
{
	int64_t k = count_all(s, best->grade).now;
	double low = 0, high = 1;

	buf_str(text, "Of ");
	stock_say_count(text, s->now, SLICE("blade"));
	buf_str(text, s->m->ask->regrades ? " graded again" : " graded");
	add_period(s->m, text);
	buf_int(text, k);
	buf_str(text, " (");
	wilson_share(share(k, s->now), (double)s->now / best->spread.design_all, spread_point(&best->spread.all, 0.975), &low, &high);
	stock_say_interval(text, share(k, s->now), low, high);
	buf_str(text, best->grade == GRADE_CULLED ? k == 1 ? ") was " : ") were " : ") got ");
	if (best->grade > GRADE_NONE)
		buf_str(text, "grade ");
	buf_add(text, best->word);
	buf_str(text, best->rank == 0 ? ", the best." : best->rank < GRADE_RANKS ? ", the best among them." : ".");
}

/* ---- against the baseline */

/* A share, the pieces that it is as good as (spread.h), and the point for as many intervals as are looked at. */
struct part {
	double share, cases, point;
};

/* `among` intervals hold all together in 95 % of cases (Bonferroni). */
static struct part part_of(int64_t k, int64_t n, double design, const struct spread_found *found, size_t among)
{
	return (struct part){ share(k, n), (double)n / design, spread_point(found, 1 - 0.025 / (double)among) };
}

/* Newcombe's interval of a difference of proportions (1998, method 10), from Wilson's of each. */
static bool differs(struct part a, struct part b)
{
	double l1, u1, l2, u2, d = a.share - b.share;

	wilson_share(a.share, a.cases, a.point, &l1, &u1);
	wilson_share(b.share, b.cases, b.point, &l2, &u2);
	return d > 0 ? d > hypot(a.share - l1, u2 - b.share) : -d > hypot(u1 - a.share, b.share - l2);
}

static bool has_changed(const struct seen *s, const struct grade_column *column, struct grade_count k, size_t among)
{
	return differs(part_of(k.now, s->now, column->spread.design_all, &column->spread.all, among),
		part_of(k.before, s->before, column->before.design_all, &column->before.all, among));
}

static void say_change(const struct seen *s, const struct grade_order *grades, struct buf *text)
{
	const struct grade_column *most = NULL;
	struct grade_count c = { 0, 0 };
	double change = 0;

	for (size_t i = 0; i < grades->n; i++) {
		struct grade_count k = count_all(s, grades->column[i].grade);
		double d = fabs(share(k.now, s->now) - share(k.before, s->before));

		if (d > change && has_changed(s, &grades->column[i], k, grades->n)) {
			most = &grades->column[i];
			change = d;
			c = k;
		}
	}
	if (!most) {
		buf_str(text, " No grade's share differs from the months before by more than ");
		buf_str(text, grades->column[0].spread.all.known ? "lots commonly do." : "chance explains.");
		return;
	}
	buf_str(text, most->grade > GRADE_NONE ? " Grade " : " The share of the ");
	buf_add(text, most->word);
	buf_str(text, " changed most, from ");
	stock_say_percent(text, share(c.before, s->before));
	buf_str(text, " in the months before to ");
	stock_say_percent(text, share(c.now, s->now));
	buf_str(text, most->spread.all.known ? ": more than lots commonly differ." : ": more than chance explains.");
}

/* ---- between groups */

static void add_keys(const struct seen *s, const struct grade_group *g, struct buf *text)
{
	for (size_t i = 0; i < s->m->ask->nby; i++) {
		buf_str(text, i ? ", " : "");
		buf_add(text, g->key[i].n ? g->key[i] : SLICE("not known"));
	}
}

static void say_group(const struct seen *s, size_t i, uint32_t grade, const char *which, struct buf *text)
{
	int64_t k = count_in(s, i, grade).now, n = s->group[i]->now;

	buf_str(text, which);
	add_keys(s, s->group[i], text);
	buf_str(text, " with ");
	stock_say_percent(text, share(k, n));
	buf_printf(text, " (%lld of %lld).", (long long)k, (long long)n);
}

/* Whether the i-th group differs from all others. Of these it has the design of all, which is near enough for many. */
static bool is_apart(const struct seen *s, const struct spread *spread, size_t i, int64_t k, int64_t all)
{
	int64_t n = s->group[i]->now;

	return differs(part_of(k, n, spread->design[s->group[i] - s->m->group], &spread->rows, s->ngroups),
		part_of(all - k, s->now - n, spread->design_all, &spread->all, s->ngroups));
}

/* The group whose share of the grade is the farthest above (or below) that of all others, beyond chance; ngroups: none. */
static size_t farthest(const struct seen *s, const struct grade_column *best, bool above)
{
	int64_t all = count_all(s, best->grade).now;
	size_t found = s->ngroups;
	double most = 0;

	for (size_t i = 0; i < s->ngroups; i++) {
		int64_t k = count_in(s, i, best->grade).now, n = s->group[i]->now;
		double d;

		if (!n || n == s->now)
			continue;
		d = share(k, n) - share(all - k, s->now - n);
		d = above ? d : -d;
		if (d > most && is_apart(s, &best->spread, i, k, all)) {
			most = d;
			found = i;
		}
	}
	return found;
}

static void say_groups(const struct seen *s, const struct grade_column *best, struct buf *text)
{
	size_t high = farthest(s, best, true), low = farthest(s, best, false);

	if (high == s->ngroups && low == s->ngroups) {
		buf_str(text, " No row differs from the rest by more than ");
		buf_str(text, best->spread.all.known ? "lots commonly do." : "chance explains.");
		return;
	}
	if (high < s->ngroups)
		say_group(s, high, best->grade, " Highest: ", text);
	if (low < s->ngroups)
		say_group(s, low, best->grade, " Lowest: ", text);
	buf_str(text, high < s->ngroups && low < s->ngroups ? " Both differ" : " It differs");
	buf_str(text, " from the rest by more than ");
	buf_str(text, best->spread.all.known ? "lots commonly do." : "chance explains.");
}

/* ---- all of it */

void grade_view_say(const struct grade_mix *m, const struct grade_group *const *group, const struct grade_order *grades, struct table *t)
{
	struct seen s = { .m = m, .group = group, .ngroups = grade_mix_groups(m) };
	const struct grade_column *best = grades->column;
	enum { KEYS_MOST = 2 }; /* rows of more keys are too many and too small to be named */
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < s.ngroups; i++) {
		s.now += group[i]->now;
		s.before += group[i]->before;
	}
	if (s.now <= 0) {
		table_finding(t, m->ask->regrades ? SLICE("No blade was graded again on these days.") : SLICE("No blade was graded on these days."));
		return;
	}
	say_best(&s, best, &text);
	if (m->ask->has_baseline && s.before > 0)
		say_change(&s, grades, &text);
	else if (s.ngroups > 1 && m->ask->nby <= KEYS_MOST && best->grade > GRADE_NONE)
		say_groups(&s, best, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}
