#include "grades/grade_view.h"

#include <math.h>
#include <stdlib.h>

#include "base/mem.h"
#include "grades/grade_view_internal.h"
#include "math/mix_shift.h"
#include "stock/stock_say.h"
#include "table/table.h"

static void column(struct table *t, const char *name, enum table_type type, unsigned places, const char *heading)
{
	table_add_column(t, name, type, places);
	table_heading(t, heading);
}

static void add_columns(const struct grade_answer *a, struct table *t)
{
	bool roomy = a->nkeys < 3;

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

static void put_group(const struct grade_answer *a, size_t i, struct table *t)
{
	const struct grade_order *order = grade_answer_order(a, i);
	const struct grade_group *g = a->group[i];
	struct mix_part *part = mem_array(order->n + 1, sizeof *part);
	double df_lots = grade_answer_parts(a, order, i, part), point;
	struct mix_shift s = mix_shift_of(part, order->n, df_lots);

	point = mix_shift_point((size_t)s.df + 1, df_lots);
	for (size_t k = 0; k < order->n && s.df >= 1; k++) {
		if (!part[k].a && !part[k].b)
			continue;
		grade_answer_keys(a, i, t);
		table_text(t, order->column[k].word);
		table_int(t, part[k].b);
		table_int(t, g->before);
		table_real(t, (double)part[k].b / (double)g->before);
		table_int(t, part[k].a);
		table_int(t, g->now);
		table_real(t, (double)part[k].a / (double)g->now);
		table_real(t, part[k].residual);
		table_cstr(t, s.p < 0.05 ? moved_word(part[k].residual, point) : NULL);
		table_real(t, s.chi2);
		table_int(t, (int64_t)s.df);
		table_cstr(t, METHOD[s.method]);
		table_real(t, s.p);
	}
	free(part);
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

	grade_answer_init(&a, m, house);
	table_init(t, NULL, 0);
	add_columns(&a, t);
	for (size_t i = 0; i < a.ngroups; i++)
		if (a.group[i]->now && a.group[i]->before)
			put_group(&a, i, t);
	grade_view_say(&a, t);
	note_baseline(&a, t);
	note_apart(&a, t);
	grade_answer_release(&a);
}
