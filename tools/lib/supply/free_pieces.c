#include "supply/free_pieces.h"

#include <stdlib.h>

#include "house/house.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"
#include "supply/order_fill.h"

/* Of the numbers of blades to come: one in ten is below the low end, one in ten above the high one. */
static const double LOW = 0.1, HIGH = 0.9, EVEN = 0.5;

struct free_row {
	int32_t form;
	uint32_t type, grade;
	int rank;
	struct slice type_text, grade_text;
	int64_t there, free;
	int64_t coming, low, high;
};

struct free_rows {
	struct free_row *row;
	size_t n, cap;
};

static int by_kind(const void *a, const void *b)
{
	const struct free_row *x = a, *y = b;
	int order = (x->form > y->form) - (x->form < y->form);

	order = order ? order : slice_cmp(x->type_text, y->type_text);
	order = order ? order : (x->rank > y->rank) - (x->rank < y->rank);
	return order ? order : slice_cmp(x->grade_text, y->grade_text);
}

static struct free_row *row_of(struct free_rows *r, const struct open_orders *o, int32_t form, uint32_t type, uint32_t grade)
{
	const struct stock *s = o->stock;

	for (size_t i = 0; i < r->n; i++)
		if (r->row[i].form == form && r->row[i].type == type && r->row[i].grade == grade)
			return &r->row[i];
	r->row = mem_grow(r->row, &r->cap, r->n + 1, sizeof *r->row);
	r->row[r->n] = (struct free_row){ .form = form, .type = type, .grade = grade, .type_text = stock_text(s, type), .grade_text = stock_text(s, grade),
		.rank = grade ? house_grade_order(s->house, o->today, stock_text(s, grade)) : -1 };
	return &r->row[r->n++];
}

static void add_pieces(struct free_rows *r, const struct open_orders *o)
{
	for (size_t i = 0; i < o->npieces; i++) {
		const struct order_piece *p = &o->piece[i];
		struct free_row *row = row_of(r, o, p->kind.form, p->kind.type, p->kind.grade);

		row->there += p->there;
		row->free += p->n;
	}
}

/* ---- what is coming */

/* The grades of blades so far, of each type that has wood under way. */
static void add_coming_rows(struct free_rows *r, const struct open_orders *o, const struct under_way *u)
{
	for (size_t i = 0; i < u->nparts; i++)
		for (uint32_t grade = GRADE_NONE + 1; grade < u->odds.mix.grades.n; grade++)
			row_of(r, o, FORM_BLADE, u->part[i].wood.type, intern_find(&o->stock->ids, intern_text(&u->odds.mix.grades, grade)));
}

static int64_t pieces_under_way(const struct under_way *u, uint32_t type)
{
	int64_t n = 0;

	for (size_t i = 0; i < u->nparts; i++)
		n += u->part[i].wood.type == type ? u->part[i].n : 0;
	return n;
}

static void foretell(struct free_row *row, struct under_way *u)
{
	int64_t most = pieces_under_way(u, row->type);
	double *mass;

	if (row->form != FORM_BLADE || !row->grade || !most)
		return;
	mass = order_fill_masses(u, row->type, row->grade, most);
	row->coming = masses_quantile(mass, most, EVEN);
	row->low = masses_quantile(mass, most, LOW);
	row->high = masses_quantile(mass, most, HIGH);
	free(mass);
}

/* ---- the table */

static void put_day(struct table *t, int32_t day)
{
	if (day == INT32_MAX || day == INT32_MIN)
		table_absent(t);
	else
		stock_cell_day(t, day);
}

/* The first and the last day on which some of the wood of a type is ready; INT32_MAX among them: not known. */
static void put_days(struct under_way *u, struct table *t, uint32_t type)
{
	int32_t first = INT32_MAX, last = INT32_MIN;

	for (size_t i = 0; i < u->nparts; i++) {
		struct under_way_ready ready;

		if (u->part[i].wood.type != type)
			continue;
		ready = under_way_part_ready(u, &u->part[i]);
		first = ready.low < first ? ready.low : first;
		last = ready.high > last ? ready.high : last;
	}
	put_day(t, first);
	put_day(t, last);
}

static void put_row(const struct open_orders *o, struct under_way *u, struct table *t, const struct free_row *row)
{
	bool coming = row->form == FORM_BLADE && row->grade && grade_odds_known(&u->odds) && pieces_under_way(u, row->type);

	stock_cell_day(t, o->today);
	table_text(t, vocab_form(row->form));
	stock_cell_word(t, row->type_text);
	stock_cell_word(t, row->grade_text);
	table_int(t, row->there);
	table_int(t, row->there - row->free);
	table_int(t, row->free);
	if (!coming) {
		table_rest_absent(t);
		return;
	}
	table_int(t, row->coming);
	table_int(t, row->low);
	table_int(t, row->high);
	put_days(u, t, row->type);
}

/* Graded blades and bats are what is promised most. */
static bool is_ready(const struct free_row *row)
{
	return row->form == FORM_BAT || (row->form == FORM_BLADE && row->grade);
}

/* "Nothing is free of blade S5/1, bat HA/2." */
static void say_none(const struct free_rows *r, struct buf *text)
{
	enum { NAMED = 6 };
	size_t none = 0;

	for (size_t i = 0; i < r->n; i++) {
		const struct free_row *row = &r->row[i];

		if (!is_ready(row) || row->free || none++ >= NAMED)
			continue;
		buf_str(text, none == 1 ? " Nothing is free of " : ", ");
		buf_add(text, vocab_form(row->form));
		buf_char(text, ' ');
		buf_add(text, row->type_text);
		buf_char(text, '/');
		buf_add(text, row->grade_text);
	}
	if (none > NAMED)
		buf_printf(text, " and %zu more kinds", none - NAMED);
	if (none)
		buf_char(text, '.');
}

static void say_free(const struct open_orders *o, const struct free_rows *r, struct table *t)
{
	int64_t there = 0, free_n = 0;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < r->n; i++) {
		there += is_ready(&r->row[i]) ? r->row[i].there : 0;
		free_n += is_ready(&r->row[i]) ? r->row[i].free : 0;
	}
	buf_str(&text, "On ");
	stock_say_day(&text, o->today);
	buf_printf(&text, ", %lld of the %lld graded blades and bats in stock %s free; %lld %s promised to open orders.", (long long)free_n, (long long)there,
		PLURAL(free_n, "is", "are"), (long long)(there - free_n), PLURAL(there - free_n, "is", "are"));
	say_none(r, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void note_back(const struct open_orders *o, struct table *t)
{
	size_t n;
	const struct stock_bucket *b = stock_buckets(o->stock, &n);
	int64_t back = 0;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < n; i++)
		if (b[i].n > 0 && b[i].kind.place != o->stock->sold && !open_orders_can_give(o, &b[i]))
			back += b[i].n;
	if (back) {
		stock_say_count(&text, back, SLICE("bat"));
		buf_str(&text, PLURAL(back, " came back and is not counted before it is finished again", " came back and are not counted before they are finished again"));
		table_note(t, buf_slice(&text));
	}
	buf_release(&text);
}

void free_pieces_view(struct order_supply *supply, struct table *t)
{
	static const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "form", TABLE_TEXT, 0, "form" }, { "type", TABLE_TEXT, 0, "type" },
		{ "grade", TABLE_TEXT, 0, "grade" }, { "there", TABLE_INT, 0, "there" }, { "promised", TABLE_INT, 0, "promised" }, { "free", TABLE_INT, 0, "free" },
		{ "coming", TABLE_INT, 0, NULL }, { "coming_80_low", TABLE_INT, 0, "coming" }, { "coming_80_high", TABLE_INT, 0, "to" },
		{ "ready_90_from", TABLE_DATE, 0, "ready from" }, { "ready_90_to", TABLE_DATE, 0, "to" } };
	const struct open_orders *o = &supply->orders;
	struct under_way *u = &supply->under_way;
	struct free_rows rows = { .n = 0 };

	add_pieces(&rows, o);
	if (grade_odds_known(&u->odds))
		add_coming_rows(&rows, o, u);
	if (rows.n)
		qsort(rows.row, rows.n, sizeof *rows.row, by_kind);
	table_init(t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < rows.n; i++) {
		foretell(&rows.row[i], u);
		put_row(o, u, t, &rows.row[i]);
	}
	say_free(o, &rows, t);
	table_note(t, SLICE("coming: blades out of charges and the bench, from the works' past gradings, 80 % range; ready: 90 % range, before planing and grading"));
	note_back(o, t);
	free(rows.row);
}
