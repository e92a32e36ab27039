
#include <math.h>
#include <stdlib.h>

#include "grades/grade_view_internal.h"

static void column(struct table *t, const char *name, enum table_type type, unsigned places, const char *heading)
{
	table_add_column(t, name, type, places);
	table_heading(t, heading);
}

static void add_columns(const struct grade_answer *a, struct table *t)
{
	bool roomy = a->nkeys < 2; /* else a line has no room for them */

	grade_answer_key_columns(a, t);
	column(t, "grade", TABLE_TEXT, 0, "grade");
	column(t, "baseline_count", TABLE_INT, 0, NULL);
	column(t, "baseline_of", TABLE_INT, 0, roomy ? "before, of" : NULL);
	column(t, "baseline_share", TABLE_REAL, TABLE_PERCENT + 1, "before");
	column(t, "count", TABLE_INT, 0, NULL);
	column(t, "of", TABLE_INT, 0, roomy ? "now, of" : NULL);
	column(t, "share", TABLE_REAL, TABLE_PERCENT + 1, "now");
	column(t, "residual", TABLE_REAL, 1, "residual");
	column(t, "moved", TABLE_TEXT, 0, "moved");
	column(t, "chi2", TABLE_REAL, 1, NULL);
	column(t, "df", TABLE_INT, 0, NULL);
	column(t, "method", TABLE_TEXT, 0, NULL);
	column(t, "p", TABLE_REAL, 3, "p");
}

/* "rose" or "fell" where the grade moved by more than chance and lots explain; NULL else. */
static const char *moved_word(double residual, double point)
{
	if (!(fabs(residual) > point))
		return NULL;
	return residual > 0 ? "rose" : "fell";
}

static const char *const METHOD[] = { "chi2", "f", "trials" };

/* A group with blades in both periods. */
struct compared {
	size_t group;
	struct mix_part *part;     /* for each grade of its scheme */
	struct mix_shift shift;
	double point;
};

static struct compared compare(const struct grade_answer *a, size_t i)
{
	const struct grade_order *order = grade_answer_order(a, i);
	struct compared c = { .group = i, .part = mem_array(order->n + 1, sizeof *c.part) };
	double df_lots = grade_answer_parts(a, order, i, c.part);

	c.shift = mix_shift_of(c.part, order->n, df_lots);
	c.point = mix_shift_point((size_t)c.shift.df + 1, df_lots);
	return c;
}

static void put_grade(const struct grade_group *g, const struct compared *c, size_t k, struct table *t)
{
	const struct mix_part *part = &c->part[k];

	table_int(t, part->b);
	table_int(t, g->before);
	table_real(t, (double)part->b / (double)g->before);
	table_int(t, part->a);
	table_int(t, g->now);
	table_real(t, (double)part->a / (double)g->now);
	table_real(t, part->residual);
	table_cstr(t, c->shift.p < 0.05 ? moved_word(part->residual, c->point) : NULL);
	table_real(t, c->shift.chi2);
	table_int(t, (int64_t)c->shift.df);
	table_cstr(t, METHOD[c->shift.method]);
	table_real(t, c->shift.p);
}

static void put_group(const struct grade_answer *a, const struct compared *c, struct table *t)
{
	const struct grade_order *order = grade_answer_order(a, c->group);

	for (size_t k = 0; k < order->n && c->shift.df >= 1; k++) {
		if (!c->part[k].a && !c->part[k].b)
			continue;
		grade_answer_keys(a, c->group, t);
		table_text(t, order->column[k].word);
		put_grade(a->group[c->group], c, k, t);
	}
}

/* ---- the row that moved most */

static void say_keys(const struct grade_answer *a, size_t i, struct buf *text)
{
	for (size_t k = 0; k < a->nkeys; k++) {
		buf_str(text, k ? ", " : "");
		buf_add(text, a->group[i]->key[k].n ? a->group[i]->key[k] : SLICE("not known"));
	}
}

static void say_row(const struct grade_answer *a, const struct compared *c, struct buf *text)
{
	const struct grade_order *order = grade_answer_order(a, c->group);
	const struct grade_group *g = a->group[c->group];
	size_t most = 0;

	for (size_t k = 1; k < order->n; k++)
		if (fabs(c->part[k].residual) > fabs(c->part[most].residual) || isnan(c->part[most].residual))
			most = k;
	buf_str(text, "Of the rows, ");
	say_keys(a, c->group, text);
	buf_str(text, " moved most: ");
	buf_str(text, order->column[most].grade > GRADE_NONE ? "grade " : "");
	buf_add(text, order->column[most].word);
	buf_str(text, c->part[most].residual > 0 ? " rose from " : " fell from ");
	stock_say_percent(text, (double)c->part[most].b / (double)g->before);
	buf_str(text, " to ");
	stock_say_percent(text, (double)c->part[most].a / (double)g->now);
	buf_char(text, '.');
}

/* Of several rows, the one with the least p, if it is under 5 % for all of them together (Bonferroni). */
static void find_row(const struct grade_answer *a, const struct compared *compared, size_t n, struct table *t)
{
	const struct compared *least = NULL;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < n; i++)
		if (compared[i].shift.p * (double)n < 0.05 && (!least || compared[i].shift.p < least->shift.p))
			least = &compared[i];
	if (least && n > 1) {
		say_row(a, least, &text);
		table_finding(t, buf_slice(&text));
	}
	buf_release(&text);
}

static void note_baseline(const struct grade_answer *a, struct table *t)
{
	struct buf text = BUF_INIT;

	buf_str(&text, "before: ");
	stock_say_day(&text, a->m->ask->baseline);
	buf_str(&text, " to ");
	stock_say_day(&text, a->m->ask->from - 1);
	buf_str(&text, "; now: from ");
	stock_say_day(&text, a->m->ask->from);
	buf_str(&text, " on; per cent of the blades graded, culled ones included");
	table_note(t, buf_slice(&text));
	buf_release(&text);
	table_note(t, SLICE("residual: how far the share moved, in standard errors; moved: by more than chance and the usual differences between lots explain, for all grades of the row together"));
	table_note(t, SLICE("p: how likely the grades of the row differ so much by that alone"));
}

static void note_apart(const struct grade_answer *a, struct table *t)
{
	struct buf text = BUF_INIT;
	size_t n = 0;

	for (size_t i = 0; i < a->ngroups; i++)
		n += !a->group[i]->now || !a->group[i]->before;
	if (n) {
		buf_printf(&text, "%zu %s left out: no blades of one scheme in both periods", n, PLURAL(n, "row was", "rows were"));
		table_note(t, buf_slice(&text));
	}
	buf_release(&text);
}

void grade_view_shift(const struct grade_mix *m, const struct house *house, struct table *t)
{
	struct grade_answer a;
	struct compared *compared;
	size_t n = 0;

	grade_answer_init(&a, m, house);
	compared = mem_array(a.ngroups + 1, sizeof *compared);
	table_init(t, NULL, 0);
	add_columns(&a, t);
	for (size_t i = 0; i < a.ngroups; i++) {
		if (!a.group[i]->now || !a.group[i]->before)
			continue;
		compared[n] = compare(&a, i);
		put_group(&a, &compared[n++], t);
	}
	grade_view_say(&a, t);
	find_row(&a, compared, n, t);
	note_baseline(&a, t);
	note_apart(&a, t);
	for (size_t i = 0; i < n; i++)
		free(compared[i].part);
	free(compared);
	grade_answer_release(&a);
}
