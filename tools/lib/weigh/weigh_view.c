#include "weigh/weigh_view.h"

#include <math.h>

#include "weigh/weigh_parts.h"
#include "weigh/weigh_view_internal.h"

enum { NEW_PIECES = 10 };

/* ---- the finding */

static void say_few(const struct mass_lines *m, struct buf *b)
{
	buf_count(b, (int64_t)m->all.n, "pair");
	buf_str(b, " of a weighed blank and its finished bat");
	if (m->all.n >= MASS_PAIRS_LEAST)
		buf_str(b, ", but all blanks have one mass; a line needs different ones.");
	else
		buf_printf(b, "; a line needs %d. Judge blades with mass=, and name them in make (blade=L061/07).", MASS_PAIRS_LEAST);
}

static void say_line(const struct weigh_view *v, const struct mass_lines *m, struct buf *b)
{
	struct mass_line line = mass_lines_of(m, &m->all);

	buf_printf(b, "By %zu pairs a bat weighs %.0f g + %.3f of its blank, give or take ", m->all.n, line.a_g, line.b);
	weigh_say_off(v, b, WEIGH_BAT, m->one.sd, false);
	buf_str(b, " (standard deviation).");
}

static void say_test(struct buf *b, const struct fit_gain *g)
{
	buf_printf(b, " (F = %.2f with %.0f and %.0f degrees of freedom, p ", g->f, g->df, g->rest_df);
	weigh_say_p(b, g->p);
	buf_char(b, ')');
}

static void say_model(const struct mass_lines *m, struct buf *b)
{
	const char *key = mass_key_words[m->by];

	if (m->own < 2) {
		buf_printf(b, " No %s can be compared with another: fewer than two have the %d pairs that a line of their own needs.", key, MASS_PAIRS_LEAST);
		return;
	}
	if (m->model == MASS_OWN) {
		buf_printf(b, " Each %s has its own line, because the slopes differ", key);
		say_test(b, &m->slopes);
	} else if (m->model == MASS_LEVELS) {
		buf_printf(b, " Each %s has its own level with one slope, because the levels differ", key);
		say_test(b, &m->levels);
	} else {
		buf_printf(b, " One line serves every %s: neither slopes", key);
		say_test(b, &m->slopes);
		buf_str(b, " nor levels");
		say_test(b, &m->levels);
		buf_str(b, " differ by more than chance explains");
	}
	buf_char(b, '.');
}

/* ---- the rows */

static void put_line(struct table *t, struct mass_line line)
{
	struct buf b = BUF_INIT;

	buf_printf(&b, "%.0fg + %.3f", line.a_g, line.b);
	if (isnan(line.b))
		table_absent(t);
	else
		table_text(t, buf_slice(&b));
	table_real(t, line.a_g);
	table_real(t, line.b);
	table_real(t, line.b_error);
	buf_release(&b);
}

static void put_foretold(const struct weigh_view *v, struct table *t, double blank_g, const struct prediction *at)
{
	double tail = (1 - v->sure) / 2, far = tail / NEW_PIECES;

	weigh_put_mass(v, t, WEIGH_BLANK, blank_g);
	weigh_put_mass(v, t, WEIGH_BAT, at->value);
	weigh_put_off(v, t, WEIGH_BAT, prediction_bound(at, 1 - tail) - at->value, false);
	weigh_put_off(v, t, WEIGH_BAT, prediction_bound(at, 1 - far) - at->value, false);
	table_real(t, blank_g);
	table_real(t, at->value);
	table_real(t, prediction_bound(at, tail));
	table_real(t, prediction_bound(at, 1 - tail));
	table_real(t, prediction_bound(at, far));
	table_real(t, prediction_bound(at, 1 - far));
	table_real(t, prediction_mean_bound(at, tail, NEW_PIECES));
	table_real(t, prediction_mean_bound(at, 1 - tail, NEW_PIECES));
}

static void put_group(const struct weigh_view *v, const struct mass_lines *m, const struct mass_group *g, struct table *t)
{
	bool all = g == &m->all;
	double x[FIT_PARAMETERS_MOST];
	const struct fit *fit = all ? &m->one : mass_lines_row(m, g->key, g->mean_g, x);
	struct prediction at;
	enum mass_use use = m->model == MASS_NONE ? MASS_USE_NONE : MASS_USE_ALL;

	at = all ? prediction_at(&m->one, (const double[]){ 1, g->mean_g }) : (struct prediction){ NAN, NAN, NAN, NAN };
	if (!all)
		use = mass_lines_at(m, g->key, g->mean_g, &at);
	table_text(t, all ? SLICE("all") : g->name.n ? g->name : SLICE("not known"));
	table_int(t, (int64_t)g->n);
	table_cstr(t, mass_use_words[use]);
	put_line(t, mass_lines_of(m, g));
	weigh_put_off(v, t, WEIGH_BAT, m->model == MASS_NONE ? NAN : fit->sd, false);
	table_real(t, m->model == MASS_NONE ? NAN : fit->sd);
	table_real(t, g->n ? g->low_g : NAN);
	table_real(t, g->n ? g->high_g : NAN);
	put_foretold(v, t, g->n ? g->mean_g : NAN, &at);
}

void weigh_note_moisture(struct table *t, const struct weigh_parts *parts)
{
	struct buf b = BUF_INIT;
	size_t unread = 0;

	for (size_t i = 0; i < parts->blanks.n; i++)
		unread += parts->blanks.row[i].moisture == BLANK_NOT_READ;
	if (isnan(parts->blanks.issue_pct))
		buf_str(&b, "blanks are as they were weighed: no moisture is known");
	else
		buf_printf(&b, "blanks are at %.1f %% moisture, scaled by their oven-dry mass", parts->blanks.issue_pct);
	if (unread && unread < parts->blanks.n)
		buf_printf(&b, "; %zu without a reading are as they were weighed", unread);
	table_note(t, buf_slice(&b));
	buf_release(&b);
}

static void note_lines(const struct weigh_parts *parts, struct table *t)
{
	const struct mass_lines *m = &parts->lines;
	struct buf b = BUF_INIT;

	if (parts->pairs.left_out) {
		buf_count(&b, (int64_t)parts->pairs.left_out, "pair");
		buf_str(&b, " left out, whose blank or bat has a mass that the house file does not allow; wy-check names the lines");
		table_note(t, buf_slice(&b));
		buf_release(&b);
	}
	if (m->model == MASS_NONE)
		return;
	weigh_note_moisture(t, parts);
	weigh_note_corrected(t, parts);
	table_note(t, SLICE("blank: the mean of the pairs; nine in ten: new pieces of that mass finish within so much of it, above or below; all of ten: ten of them do, "
		"with a chance of 90 % at least"));
}

void weigh_view_lines(const struct weigh_view *v, const struct weigh_parts *parts, struct table *t)
{
	const struct mass_lines *m = &parts->lines;
	const struct table_column columns[] = {
		{ mass_key_words[m->by], TABLE_TEXT, 0, mass_key_words[m->by] }, { "pairs", TABLE_INT, 0, "pairs" }, { "by", TABLE_TEXT, 0, NULL },
		{ "line", TABLE_TEXT, 0, "line" }, { "a_g", TABLE_REAL, 0, NULL }, { "b", TABLE_REAL, 3, NULL }, { "b_error", TABLE_REAL, 4, NULL },
		{ "sd", TABLE_TEXT, 0, "sd" }, { "sd_g", TABLE_REAL, 1, NULL }, { "blank_low_g", TABLE_REAL, 0, NULL }, { "blank_high_g", TABLE_REAL, 0, NULL },
		{ "blank", TABLE_TEXT, 0, "blank" }, { "finished", TABLE_TEXT, 0, "finished" }, { "nine_in_ten", TABLE_TEXT, 0, "nine in ten" },
		{ "all_of_ten", TABLE_TEXT, 0, "all of ten" }, { "blank_g", TABLE_REAL, 0, NULL }, { "finished_g", TABLE_REAL, 0, NULL },
		{ "low_g", TABLE_REAL, 0, NULL }, { "high_g", TABLE_REAL, 0, NULL }, { "ten_low_g", TABLE_REAL, 0, NULL }, { "ten_high_g", TABLE_REAL, 0, NULL },
		{ "mean_of_ten_low_g", TABLE_REAL, 0, NULL }, { "mean_of_ten_high_g", TABLE_REAL, 0, NULL },
	};
	struct buf b = BUF_INIT;

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("Lines"), "lines");
	if (m->model == MASS_NONE)
		say_few(m, &b);
	else {
		say_line(v, m, &b);
		say_model(m, &b);
	}
	table_finding(t, buf_slice(&b));
	for (size_t i = 0; i < m->n; i++)
		put_group(v, m, &m->group[i], t);
	if (m->n != 1)
		put_group(v, m, &m->all, t);
	note_lines(parts, t);
	buf_release(&b);
}
