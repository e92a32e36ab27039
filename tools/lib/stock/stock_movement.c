#include "stock/stock_movement.h"

#include <stdlib.h>

#include "stock/stock.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

struct moved_kind {
	int32_t form;
	uint32_t type;
	int64_t start, in, found, returned, made, culled, sold, used;
};

static int64_t end_of(const struct moved_kind *r)
{
	return r->start + r->in + r->found + r->returned + r->made - r->culled - r->sold - r->used;
}

void stock_movement_init(struct stock_movement *m, const struct stock *s, int32_t since)
{
	memset(m, 0, sizeof *m);
	m->stock = s;
	m->since = since;
	intern_init(&m->ids);
}

void stock_movement_release(struct stock_movement *m)
{
	intern_release(&m->ids);
	free(m->row);
	memset(m, 0, sizeof *m);
}

/* ---- counting */

static struct moved_kind *row_of(struct stock_movement *m, const struct stock_kind *k)
{
	const uint32_t key[] = { (uint32_t)k->form, k->type };
	uint32_t at = intern_id(&m->ids, (struct slice){ (const char *)key, sizeof key }) - 1;

	if (at == m->nrows) {
		m->row = mem_grow(m->row, &m->rows_cap, m->nrows + 1, sizeof *m->row);
		m->row[m->nrows++] = (struct moved_kind){ .form = k->form, .type = k->type };
	}
	return &m->row[at];
}

static bool stays_same(const struct stock_flow *f)
{
	return f->from.form == f->to.form && f->from.type == f->to.type;
}

/* The column that a flow counts in where pieces went to, or NULL. */
static int64_t *came_as(struct stock_movement *m, const struct stock_flow *f)
{
	struct moved_kind *row = row_of(m, &f->to);

	if (f->change == STOCK_BORN)
		return &row->in;
	if (f->change == STOCK_FOUND)
		return &row->found;
	if (f->change == STOCK_GONE_ON && f->from.place == m->stock->sold)
		return &row->returned;
	if (f->change == STOCK_CAME_OFF)
		return &row->made;
	if (f->change == STOCK_LOST || f->to.place == m->stock->sold || (f->change == STOCK_JOINED && f->from.form != FORM_BLADE))
		return NULL;
	return stays_same(f) ? NULL : &row->made;
}

/* The same where they came from. */
static int64_t *went_as(struct stock_movement *m, const struct stock_flow *f)
{
	struct moved_kind *row;

	if (f->change == STOCK_BORN || f->change == STOCK_FOUND || f->from.place == m->stock->sold)
		return NULL;
	row = row_of(m, &f->from);
	if (f->change == STOCK_LOST || f->change == STOCK_CAME_OFF)
		return &row->culled;
	if (f->to.place == m->stock->sold)
		return &row->sold;
	return stays_same(f) ? NULL : &row->used;
}

void stock_movement_flow(void *context, const struct stock_flow *f)
{
	struct stock_movement *m = context;
	int64_t *came = came_as(m, f), *went;

	if (came && f->op->day < m->since)
		came = &row_of(m, &f->to)->start;
	if (came)
		*came += f->n;
	went = went_as(m, f);
	if (went && f->op->day < m->since)
		row_of(m, &f->from)->start -= f->n;
	else if (went)
		*went += f->n;
}

/* ---- the table */

struct named_row {
	const struct moved_kind *row;
	struct slice type;
};

static int by_form(const void *a, const void *b)
{
	const struct named_row *x = a, *y = b;

	if (x->row->form != y->row->form)
		return x->row->form < y->row->form ? -1 : 1;
	return slice_cmp(x->type, y->type);
}

/* One where nothing was there and nothing happened is left out. */
static void put_row(const struct stock_movement *m, int32_t today, struct table *t, const struct named_row *named)
{
	const struct moved_kind *r = named->row;
	const int64_t cells[] = { r->start, r->in, r->found, r->returned, r->made, r->culled, r->sold, r->used,
		end_of(r) };
	int64_t any = 0;

	for (size_t k = 0; k < sizeof cells / sizeof *cells; k++)
		any |= cells[k];
	if (!any)
		return;
	stock_cell_day(t, m->since);
	stock_cell_day(t, today);
	table_text(t, vocab_form(r->form));
	stock_cell_word(t, named->type);
	for (size_t k = 0; k < sizeof cells / sizeof *cells; k++)
		table_int(t, cells[k]);
}

static void say_part(struct buf *text, const char *before, int64_t n, const char *after)
{
	buf_str(text, before);
	buf_int(text, n);
	buf_str(text, after);
}

/* The stock at both ends of the period, and the pieces that make the difference. */
static void say_movement(const struct stock_movement *m, int32_t today, struct table *t)
{
	struct moved_kind all = { .form = 0 };
	struct buf text = BUF_INIT;
	int64_t end = 0;

	for (size_t i = 0; i < m->nrows; i++) {
		const struct moved_kind *r = &m->row[i];

		all.start += r->start;
		all.in += r->in + r->found + r->returned;
		all.culled += r->culled;
		all.sold += r->sold;
		all.used += r->used - r->made;
		end += end_of(r);
	}
	buf_str(&text, "From ");
	stock_say_day(&text, m->since);
	buf_str(&text, " to ");
	stock_say_day(&text, today);
	say_part(&text, ", the stock went from ", all.start, "");
	buf_str(&text, " to ");
	stock_say_count(&text, end, SLICE("piece"));
	say_part(&text, ": ", all.in, " came in, were found or came back, ");
	say_part(&text, "", all.sold, PLURAL(all.sold, " was sold, ", " were sold, "));
	say_part(&text, "", all.culled, PLURAL(all.culled, " was culled", " were culled"));
	if (all.used)
		say_part(&text, ", and ", all.used, PLURAL(all.used, " was a handle that went into a bat", " were handles that went into bats"));
	buf_char(&text, '.');
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

void stock_movement_view(const struct stock_movement *m, int32_t today, struct table *t)
{
	static const struct table_column COLUMNS[] = { { "since", TABLE_DATE, 0, NULL }, { "as_of", TABLE_DATE, 0, NULL }, { "form", TABLE_TEXT, 0, "form" },
		{ "type", TABLE_TEXT, 0, "type" }, { "start", TABLE_INT, 0, "at the start" }, { "in", TABLE_INT, 0, "came in" },
		{ "found", TABLE_INT, 0, "found" }, { "returned", TABLE_INT, 0, "returned" }, { "made", TABLE_INT, 0, "made" },
		{ "culled", TABLE_INT, 0, "culled" }, { "sold", TABLE_INT, 0, "sold" }, { "used", TABLE_INT, 0, "used" },
		{ "end", TABLE_INT, 0, "at the end" } };
	struct named_row *rows = mem_array(m->nrows, sizeof *rows);

	for (size_t i = 0; i < m->nrows; i++)
		rows[i] = (struct named_row){ &m->row[i], stock_text(m->stock, m->row[i].type) };
	if (m->nrows)
		qsort(rows, m->nrows, sizeof *rows, by_form);
	table_init(t, COLUMNS, sizeof COLUMNS / sizeof *COLUMNS);
	for (size_t i = 0; i < m->nrows; i++)
		put_row(m, today, t, &rows[i]);
	say_movement(m, today, t);
	table_note(t, SLICE("in pieces; made: came from another form or type; used: went into another form or type"));
	free(rows);
}
