#include <math.h>
#include <stdlib.h>

#include "grades/grade_view_internal.h"

/* The groups of one scheme. */
struct seen {
	const struct grade_answer *a;
	const struct grade_order *order;
	size_t ngroups;
};

static bool is_seen(const struct seen *s, size_t i)
{
	return s->a->group[i]->scheme == s->order->scheme;
}

static int64_t count_in(const struct seen *s, size_t i, uint32_t grade)
{
	return grade_answer_count(s->a, i, grade).now;
}

static int64_t count_all(const struct seen *s, uint32_t grade)
{
	return grade_answer_all(s->a, s->order, grade).now;
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
	int64_t k = count_all(s, best->grade), n = s->order->now;
	double low = 0, high = 1;

	buf_str(text, "Of ");
	stock_say_count(text, n, SLICE("blade"));
	buf_str(text, s->a->m->ask->regrades ? " graded again" : " graded");
	if (s->a->norders > 1) {
		buf_str(text, s->order->scheme ? " by scheme " : " by no scheme");
		buf_add(text, s->order->scheme ? s->order->scheme->id : SLICE(""));
	}
	add_period(s->a->m, text);
	buf_int(text, k);
	buf_str(text, " (");
	wilson_share(share(k, n), (double)n / best->spread.design_all, spread_point(&best->spread.all, 0.975), &low, &high);
	stock_say_interval(text, share(k, n), low, high);
	buf_str(text, best->grade == GRADE_CULLED ? k == 1 ? ") was " : ") were " : ") got ");
	if (best->grade > GRADE_NONE)
		buf_str(text, "grade ");
	buf_add(text, best->word);
	buf_str(text, best->rank == 0 ? ", the best." : best->rank < GRADE_RANKS ? ", the best among them." : ".");
}

/* ---- against the baseline */

static void say_grade(const struct grade_column *column, struct buf *text)
{
	if (column->grade > GRADE_NONE)
		buf_str(text, "grade ");
	else
		buf_str(text, "the share of the ");
	buf_add(text, column->word);
}

/* " grade 1 fell from 31 % to 22 %" */
static void say_move(const struct seen *s, const struct grade_column *column, const struct mix_part *part, struct buf *text)
{
	say_grade(column, text);
	buf_str(text, part->residual > 0 ? " rose from " : " fell from ");
	stock_say_percent(text, share(part->b, s->order->before));
	buf_str(text, " to ");
	stock_say_percent(text, share(part->a, s->order->now));
}

static void say_test(const struct mix_shift *shift, struct buf *text)
{
	buf_printf(text, " (chi-squared %.1f, p ", shift->chi2);
	if (shift->p < 0.001)
		buf_str(text, "under 0.001");
	else
		buf_printf(text, "%.3f", shift->p);
	if (shift->method == MIX_BY_TRIALS)
		buf_printf(text, " of %d random tables", MIX_SHIFT_TRIALS);
	buf_str(text, ").");
}

static void say_moves(const struct seen *s, const struct mix_part *part, double point, bool by_lots, struct buf *text)
{
	size_t said = 0;

	for (size_t i = 0; i < s->order->n; i++) {
		if (!(fabs(part[i].residual) > point))
			continue;
		buf_str(text, said++ ? ", " : " Against the months before, ");
		say_move(s, &s->order->column[i], &part[i], text);
	}
	buf_str(text, said ? ": more than " : " The shares differ from the months before, no single one by itself: more than ");
	buf_str(text, by_lots ? "lots commonly differ" : "chance explains");
}

static void say_change(const struct seen *s, struct buf *text)
{
	const struct grade_order *order = s->order;
	struct mix_part *part = mem_array(order->n + 1, sizeof *part);
	double df_lots = grade_answer_parts(s->a, order, s->a->ngroups, part);
	struct mix_shift shift = mix_shift_of(part, order->n, df_lots);

	if (shift.p < 0.05)
		say_moves(s, part, mix_shift_point((size_t)shift.df + 1, df_lots), shift.method == MIX_BY_F, text);
	else {
		buf_str(text, " No grade's share differs from the months before by more than ");
		buf_str(text, shift.method == MIX_BY_F ? "lots commonly do" : "chance explains");
	}
	say_test(&shift, text);
	free(part);
}

/* Of the months before, only blades of another scheme are known. */
static void say_apart(struct buf *text)
{
	buf_str(text, " The months before have no blade of this scheme, so they are not compared.");
}

/* ---- between groups */

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

static void add_keys(const struct seen *s, const struct grade_group *g, struct buf *text)
{
	for (size_t i = 0; i < s->a->m->ask->nby; i++) {
		buf_str(text, i ? ", " : "");
		buf_add(text, g->key[i].n ? g->key[i] : SLICE("not known"));
	}
}

static void say_group(const struct seen *s, size_t i, uint32_t grade, const char *which, struct buf *text)
{
	int64_t k = count_in(s, i, grade), n = s->a->group[i]->now;

	buf_str(text, which);
	add_keys(s, s->a->group[i], text);
	buf_str(text, " with ");
	stock_say_percent(text, share(k, n));
	buf_printf(text, " (%lld of %lld).", (long long)k, (long long)n);
}

/* Whether the i-th group differs from all others. Of these it has the design of all, which is near enough for many. */
static bool is_apart(const struct seen *s, const struct spread *spread, size_t i, int64_t k, int64_t all)
{
	int64_t n = s->a->group[i]->now;

	return differs(part_of(k, n, spread->design[grade_answer_at(s->a, i)], &spread->rows, s->ngroups),
		part_of(all - k, s->order->now - n, spread->design_all, &spread->all, s->ngroups));
}

/* The group whose share of the grade is the farthest above (or below) that of all others, beyond chance; the answer's ngroups: none. */
static size_t farthest(const struct seen *s, const struct grade_column *best, bool above)
{
	int64_t all = count_all(s, best->grade);
	size_t found = s->a->ngroups;
	double most = 0;

	for (size_t i = 0; i < s->a->ngroups; i++) {
		int64_t k = count_in(s, i, best->grade), n = s->a->group[i]->now;
		double d;

		if (!is_seen(s, i) || !n || n == s->order->now)
			continue;
		d = share(k, n) - share(all - k, s->order->now - n);
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

	if (high == s->a->ngroups && low == s->a->ngroups) {
		buf_str(text, " No row differs from the rest by more than ");
		buf_str(text, best->spread.all.known ? "lots commonly do." : "chance explains.");
		return;
	}
	if (high < s->a->ngroups)
		say_group(s, high, best->grade, " Highest: ", text);
	if (low < s->a->ngroups)
		say_group(s, low, best->grade, " Lowest: ", text);
	buf_str(text, high < s->a->ngroups && low < s->a->ngroups ? " Both differ" : " It differs");
	buf_str(text, " from the rest by more than ");
	buf_str(text, best->spread.all.known ? "lots commonly do." : "chance explains.");
}

/* ---- all of it */

/* The blades of the period that are of another scheme. */
static void say_other_schemes(const struct seen *s, struct buf *text)
{
	for (size_t i = 0; i < s->a->norders; i++) {
		const struct grade_order *order = &s->a->order[i];

		if (order == s->order || !order->now)
			continue;
		buf_str(text, " The ");
		stock_say_count(text, order->now, SLICE("blade"));
		buf_str(text, order->scheme ? " of scheme " : " of no scheme");
		buf_add(text, order->scheme ? order->scheme->id : SLICE(""));
		buf_str(text, order->now == 1 ? " is counted apart." : " are counted apart.");
	}
}

static size_t groups_of(const struct grade_answer *a, const struct grade_order *order)
{
	size_t n = 0;

	for (size_t i = 0; i < a->ngroups; i++)
		n += a->group[i]->scheme == order->scheme;
	return n;
}

void grade_view_say(const struct grade_answer *a, struct table *t)
{
	enum { KEYS_MOST = 2 }; /* rows of more keys are too many and too small to be named */
	const struct grade_ask *ask = a->m->ask;
	struct seen s = { .a = a, .order = grade_answer_latest(a) };
	struct buf text = BUF_INIT;

	if (!s.order) {
		table_finding(t, ask->regrades ? SLICE("No blade was graded again on these days.") : SLICE("No blade was graded on these days."));
		return;
	}
	s.ngroups = groups_of(a, s.order);
	say_best(&s, s.order->column, &text);
	if (ask->has_baseline && s.order->before > 0)
		say_change(&s, &text);
	else if (ask->has_baseline && a->norders > 1)
		say_apart(&text);
	else if (s.ngroups > 1 && ask->nby <= KEYS_MOST && s.order->column->grade > GRADE_NONE)
		say_groups(&s, s.order->column, &text);
	say_other_schemes(&s, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}
