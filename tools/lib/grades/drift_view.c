#include "grades/drift_view.h"

#include <math.h>

#include "grades/drift.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

static void column(struct table *t, const char *name, enum table_type type, unsigned places, const char *heading)
{
	table_add_column(t, name, type, places);
	table_heading(t, heading);
}

static bool has_schemes(const struct drift *d)
{
	return d->ngraders && d->grader[0].scheme != d->grader[d->ngraders - 1].scheme;
}

static void add_grader_columns(const struct drift *d, struct table *t)
{
	column(t, "scheme", TABLE_TEXT, 0, has_schemes(d) ? "scheme" : NULL);
	column(t, "grader", TABLE_TEXT, 0, "grader");
	column(t, "since", TABLE_DATE, 0, "since");
}

static void put_grader(const struct drift_grader *g, struct table *t)
{
	table_text(t, g->scheme->id);
	table_text(t, g->by);
	stock_cell_day(t, g->cut);
}

/* ---- graders */

static void add_columns(const struct drift *d, struct table *t)
{
	table_init(t, NULL, 0);
	table_title(t, SLICE("Graders before and since a day"), "drift");
	add_grader_columns(d, t);
	column(t, "first_day", TABLE_DATE, 0, NULL);
	column(t, "last_day", TABLE_DATE, 0, NULL);
	column(t, "before", TABLE_INT, 0, "before");
	column(t, "after", TABLE_INT, 0, "since, blades");
	column(t, "apart", TABLE_INT, 0, NULL);
	column(t, "origins", TABLE_INT, 0, has_schemes(d) ? NULL : "origins");
	column(t, "steps", TABLE_REAL, 2, "steps");
	column(t, "steps_low", TABLE_REAL, 2, "at least");
	column(t, "steps_high", TABLE_REAL, 2, "at most");
	column(t, "p", TABLE_REAL, 3, "p");
	column(t, "plain_steps", TABLE_REAL, 2, NULL);
	column(t, "design", TABLE_REAL, 2, NULL);
	column(t, "df", TABLE_INT, 0, NULL);
}

static void view_graders(const struct drift *d, struct table *t)
{
	add_columns(d, t);
	for (size_t i = 0; i < d->ngraders; i++) {
		const struct drift_grader *g = &d->grader[i];

		put_grader(g, t);
		stock_cell_day(t, g->first);
		stock_cell_day(t, g->last);
		table_int(t, g->shift.before);
		table_int(t, g->shift.after);
		table_int(t, g->apart);
		table_int(t, (int64_t)g->shift.strata);
		table_real(t, g->shift.shift);
		table_real(t, g->shift.low);
		table_real(t, g->shift.high);
		table_real(t, g->shift.p);
		table_real(t, g->plain);
		table_real(t, g->shift.design);
		table_int(t, (int64_t)g->shift.df);
	}
}

/* ---- shares */

static void view_shares(const struct drift *d, struct table *t)
{
	table_init(t, NULL, 0);
	table_title(t, SLICE("Their grades in wood of the same origins"), "shares");
	add_grader_columns(d, t);
	column(t, "grade", TABLE_TEXT, 0, "grade");
	column(t, "share_before", TABLE_REAL, TABLE_PERCENT + 1, "before, %");
	column(t, "share_since", TABLE_REAL, TABLE_PERCENT + 1, "since, %");
	column(t, "difference", TABLE_REAL, TABLE_PERCENT + 1, "difference, points");
	for (size_t i = 0; i < d->ngraders; i++) {
		const struct drift_grader *g = &d->grader[i];

		for (size_t k = 0; g->shift.strata && k <= g->scheme->list.n; k++) {
			put_grader(g, t);
			table_text(t, k < g->scheme->list.n ? g->scheme->list.word[k] : SLICE("culled"));
			table_real(t, g->before[k]);
			table_real(t, g->after[k]);
			table_real(t, g->after[k] - g->before[k]);
		}
	}
}

/* ---- the finding */

/* The grade whose share moved most. */
static size_t most_moved(const struct drift_grader *g)
{
	size_t most = 0;

	for (size_t k = 1; k <= g->scheme->list.n; k++)
		if (fabs(g->after[k] - g->before[k]) > fabs(g->after[most] - g->before[most]))
			most = k;
	return most;
}

static void say_share(const struct drift_grader *g, size_t k, struct buf *text)
{
	buf_str(text, k < g->scheme->list.n ? "grade " : "the share of the culled");
	buf_add(text, k < g->scheme->list.n ? g->scheme->list.word[k] : SLICE(""));
	buf_str(text, g->after[k] > g->before[k] ? " rose from " : " fell from ");
	stock_say_percent(text, g->before[k]);
	buf_str(text, " to ");
	stock_say_percent(text, g->after[k]);
}

static void say_moved(const struct drift *d, const struct drift_grader *g, struct buf *text)
{
	bool stricter = g->shift.shift > 0;

	buf_str(text, text->n ? " " : "");
	buf_add(text, g->by);
	buf_str(text, stricter ? " is stricter since " : " is milder since ");
	stock_say_day(text, g->cut);
	if (has_schemes(d)) {
		buf_str(text, " under scheme ");
		buf_add(text, g->scheme->id);
	}
	buf_printf(text, ": in wood of the same origin the grades are %.2f steps %s than before (95 %% interval %.2f to %.2f), and ", fabs(g->shift.shift),
		stricter ? "worse" : "better", stricter ? g->shift.low : -g->shift.high, stricter ? g->shift.high : -g->shift.low);
	say_share(g, most_moved(g), text);
	buf_str(text, g->shift.known ? ". Lots of one origin do not differ so much." : ". Chance does not explain that.");
}

static size_t compared(const struct drift *d)
{
	size_t n = 0;

	for (size_t i = 0; i < d->ngraders; i++)
		n += (size_t)!isnan(d->grader[i].shift.p);
	return n;
}

static void find(const struct drift *d, struct table *t)
{
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < d->ngraders; i++)
		if (d->grader[i].has_moved)
			say_moved(d, &d->grader[i], &text);
	if (!compared(d))
		buf_str(&text, "No grader graded wood of one origin in both periods under one scheme.");
	else if (!text.n)
		buf_str(&text, "No grader's grades moved by more than chance and the lots of one origin explain.");
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void note_count(struct table *t, long long n, const char *one, const char *more)
{
	struct buf text = BUF_INIT;

	if (!n)
		return;
	buf_printf(&text, "%lld %s", n, PLURAL(n, one, more));
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

static void add_notes(const struct drift *d, struct table *t)
{
	int64_t apart = 0;

	for (size_t i = 0; i < d->ngraders; i++)
		apart += d->grader[i].apart;
	if (d->ngraders) {
		table_note(t, SLICE("steps: how many grades worse since that day, in wood of the same supplier and parcel; below 0: better; culled counts one below the lowest grade"));
		table_note(t, SLICE("at least, at most: its 95 % interval; p: how likely chance alone moves the grades so far; both allow for lots of one origin that differ"));
	}
	note_count(t, apart, "blade was left out: its origin is not known, is several, or is in one period only",
		"blades were left out: their origin is not known, is several, or is in one period only");
	note_count(t, d->nameless, "blade was left out: its grade line has no by=", "blades were left out: their grade lines have no by=");
	note_count(t, d->strange, "blade was left out: no scheme was in force, or it lacks the grade", "blades were left out: no scheme was in force, or it lacks the grade");
}

void drift_view(const struct drift *d, struct table *t)
{
	view_graders(d, &t[0]);
	find(d, &t[0]);
	add_notes(d, &t[0]);
	view_shares(d, &t[1]);
}
