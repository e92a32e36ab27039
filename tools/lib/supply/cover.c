#include "supply/cover.h"

#include <math.h>
#include <stdlib.h>

#include "house/house.h"
#include "stock/stock_cells.h"

enum { DAYS_A_WEEK = 7 };

struct cover_row {
	int32_t form;
	uint32_t type, grade;
	int rank;
	struct slice type_text, grade_text;
	int64_t there, used_short, used_long;
};

void cover_init(struct cover *c, const struct stock *s, int32_t today)
{
	*c = (struct cover){ .stock = s, .today = today, .first = INT32_MAX };
	stages_init(&c->stages, s, s->house);
}

void cover_release(struct cover *c)
{
	stages_release(&c->stages);
	free(c->row);
	*c = (struct cover){ .n = 0 };
}

/* ---- what is used */

static bool is_ready(const struct cover *c, const struct stock_kind *k)
{
	enum stage_step step;

	if (!k->lot || k->place == c->stock->culled)
		return false;
	step = stages_step_of(&c->stages, k, false);
	return step == STAGE_YARD || step == STAGE_STORE || step == STAGE_BAT;
}

static struct cover_row *row_of(struct cover *c, const struct stock_kind *k)
{
	for (size_t i = 0; i < c->n; i++)
		if (c->row[i].form == k->form && c->row[i].type == k->type && c->row[i].grade == k->grade)
			return &c->row[i];
	c->row = mem_grow(c->row, &c->cap, c->n + 1, sizeof *c->row);
	c->row[c->n] = (struct cover_row){ .form = k->form, .type = k->type, .grade = k->grade, .type_text = stock_text(c->stock, k->type),
		.grade_text = stock_text(c->stock, k->grade), .rank = k->grade ? house_grade_order(c->stock->house, c->today, stock_text(c->stock, k->grade)) : -1 };
	return &c->row[c->n++];
}

/* Pieces that came in or were found are not back from use. */
static bool came_back(const struct cover *c, const struct stock_flow *f)
{
	return f->change == STOCK_GONE_ON && is_ready(c, &f->to) && (f->from.place == c->stock->sold || stages_step_of(&c->stages, &f->from, false) > stages_step_of(&c->stages, &f->to, false));
}

static bool went(const struct cover *c, const struct stock_flow *f)
{
	if (f->change == STOCK_BORN || f->change == STOCK_FOUND || f->change == STOCK_LOST || f->change == STOCK_CAME_OFF || !is_ready(c, &f->from))
		return false;
	return !is_ready(c, &f->to) || f->change == STOCK_JOINED || f->from.form != f->to.form;
}

static void use(struct cover *c, const struct stock_kind *k, int32_t day, int64_t n)
{
	struct cover_row *row = row_of(c, k);

	if (day > c->today - DAYS_A_WEEK * COVER_LONG_WEEKS)
		row->used_long += n;
	if (day > c->today - DAYS_A_WEEK * COVER_SHORT_WEEKS)
		row->used_short += n;
}

void cover_flow(void *context, const struct stock_flow *f)
{
	struct cover *c = context;

	if (f->op->day < c->first)
		c->first = f->op->day;
	if (f->op->day <= c->today - DAYS_A_WEEK * COVER_LONG_WEEKS)
		return;
	if (went(c, f))
		use(c, &f->from, f->op->day, f->n);
	else if (came_back(c, f))
		use(c, &f->to, f->op->day, -f->n);
}

double cover_weeks(int64_t there, int64_t used, int32_t days)
{
	return used > 0 ? (double)there * days / (DAYS_A_WEEK * (double)used) : INFINITY;
}

/* ---- the table */

static void count_there(struct cover *c)
{
	size_t n;
	const struct stock_bucket *b = stock_buckets(c->stock, &n);

	for (size_t i = 0; i < n; i++)
		if (b[i].n > 0 && b[i].kind.place != c->stock->sold && is_ready(c, &b[i].kind))
			row_of(c, &b[i].kind)->there += b[i].n;
}

static int by_kind(const void *a, const void *b)
{
	const struct cover_row *x = a, *y = b;
	int order = (x->form > y->form) - (x->form < y->form);

	order = order ? order : slice_cmp(x->type_text, y->type_text);
	order = order ? order : (x->rank > y->rank) - (x->rank < y->rank);
	return order ? order : slice_cmp(x->grade_text, y->grade_text);
}

/* The days of a period that the book covers. */
static int32_t days_of(const struct cover *c, int32_t weeks)
{
	int64_t age = (int64_t)c->today - c->first + 1;

	return age < (int64_t)DAYS_A_WEEK * weeks ? (int32_t)(age > 0 ? age : 1) : DAYS_A_WEEK * weeks;
}

static void put_weeks(struct table *t, double weeks)
{
	if (isfinite(weeks))
		table_real(t, weeks);
	else
		table_absent(t);
}

static void put_row(const struct cover *c, struct table *t, const struct cover_row *row)
{
	stock_cell_day(t, c->today);
	table_text(t, vocab_form(row->form));
	stock_cell_word(t, row->type_text);
	stock_cell_word(t, row->grade_text);
	table_int(t, row->there);
	table_int(t, row->used_short);
	table_int(t, row->used_long);
	put_weeks(t, cover_weeks(row->there, row->used_short, days_of(c, COVER_SHORT_WEEKS)));
	put_weeks(t, cover_weeks(row->there, row->used_long, days_of(c, COVER_LONG_WEEKS)));
}

/* "blades SH/1". */
static void say_kind(const struct cover_row *row, struct buf *text)
{
	buf_add(text, vocab_form(row->form));
	buf_str(text, "s ");
	buf_add(text, row->type_text);
	buf_str(text, row->grade ? "/" : "");
	buf_add(text, row->grade_text);
}

static double recent_weeks(const struct cover *c, const struct cover_row *row)
{
	return cover_weeks(row->there, row->used_short, days_of(c, COVER_SHORT_WEEKS));
}

/* What was used and is not there any more. */
static void say_gone(const struct cover *c, struct buf *text)
{
	enum { NAMED = 5 };
	size_t gone = 0;

	for (size_t i = 0; i < c->n; i++) {
		if (recent_weeks(c, &c->row[i]) > 0 || gone++ >= NAMED)
			continue;
		buf_str(text, gone == 1 ? " Used in these weeks and none left: " : ", ");
		say_kind(&c->row[i], text);
	}
	if (gone > NAMED)
		buf_printf(text, " and %zu more", gone - NAMED);
	if (gone)
		buf_char(text, '.');
}

static void say_cover(const struct cover *c, struct table *t)
{
	const struct cover_row *least = NULL;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < c->n; i++)
		if (c->row[i].there && isfinite(recent_weeks(c, &c->row[i])) && (!least || recent_weeks(c, &c->row[i]) < recent_weeks(c, least)))
			least = &c->row[i];
	if (least) {
		buf_str(&text, "At the rate of the last 13 weeks, the ");
		say_kind(least, &text);
		buf_printf(&text, " run out first: %lld there, for %.1f weeks.", (long long)least->there, recent_weeks(c, least));
	} else {
		buf_str(&text, "Nothing that is there was used in the last 13 weeks.");
	}
	say_gone(c, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

void cover_view(struct cover *c, struct table *t)
{
	static const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "form", TABLE_TEXT, 0, "form" }, { "type", TABLE_TEXT, 0, "type" },
		{ "grade", TABLE_TEXT, 0, "grade" }, { "there", TABLE_INT, 0, "there" }, { "used_13w", TABLE_INT, 0, "used in 13 weeks" },
		{ "used_52w", TABLE_INT, 0, "in 52 weeks" }, { "cover_13w_weeks", TABLE_REAL, 1, "weeks left, by 13" }, { "cover_52w_weeks", TABLE_REAL, 1, "by 52" } };

	count_there(c);
	if (c->n)
		qsort(c->row, c->n, sizeof *c->row, by_kind);
	table_init(t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < c->n; i++)
		put_row(c, t, &c->row[i]);
	say_cover(c, t);
	table_note(t, SLICE("there: clefts in the yard, graded blades and handles not in a shop, bats; used: loaded, issued, made into bats or sold"));
}
