#include "supply/stock_takes.h"

#include <stdlib.h>

#include "stock/stock_cells.h"
#include "stock/stock_say.h"

void stock_takes_init(struct stock_takes *s, const struct stock *stock, struct costing *costing, int32_t since)
{
	*s = (struct stock_takes){ .stock = stock, .costing = costing, .since = since };
}

void stock_takes_release(struct stock_takes *s)
{
	free(s->row);
	*s = (struct stock_takes){ .n = 0 };
}

/* ---- the tallies */

/* What all pieces of a batch have on them before the line of the last flow. */
static int64_t value_of(struct stock_takes *s, const struct stock_kind *kind)
{
	struct holdings *h = &s->costing->holdings;
	uint32_t batch;
	int64_t *money, sum = 0;
	size_t n;

	carry_before(&s->costing->carry);
	batch = holdings_batch(h, kind);
	money = holdings_money(h, batch, &n);
	for (size_t i = 0; i < n * h->nmoney; i++)
		sum += money[i];
	free(money);
	return sum;
}

void stock_takes_flow(void *context, const struct stock_flow *f)
{
	struct stock_takes *s = context;
	struct stock_taken *row = s->n ? &s->row[s->n - 1] : NULL;
	const struct stock_kind *kind = f->change == STOCK_FOUND ? &f->to : &f->from;

	costing_flow(s->costing, f);
	if (f->op->event->id != EVENT_TALLY || f->op->day < s->since)
		return;
	if (!row || row->op.at_log != f->op->at_log) {
		s->row = mem_grow(s->row, &s->cap, s->n + 1, sizeof *s->row);
		row = &s->row[s->n++];
		*row = (struct stock_taken){ .op = *f->op, .kind = *kind, .value = value_of(s, kind) };
	}
	if (f->change == STOCK_FOUND)
		row->found += f->n;
	else
		*(f->change == STOCK_LOST ? &row->missing : &row->counted) += f->n;
	row->booked = row->counted + row->missing - row->found;
}

/* ---- their order, which is not that of the book's lines */

struct named_take {
	struct stock_taken row;
	struct slice word[5];      /* place, lot, type, grade, class */
	size_t turn;
};

static int by_name(const void *a, const void *b)
{
	const struct named_take *x = a, *y = b;
	int order = (x->row.op.day > y->row.op.day) - (x->row.op.day < y->row.op.day);

	for (size_t i = 0; !order && i < sizeof x->word / sizeof *x->word; i++)
		order = slice_cmp(x->word[i], y->word[i]);
	order = order ? order : (x->row.kind.form > y->row.kind.form) - (x->row.kind.form < y->row.kind.form);
	return order ? order : (x->turn > y->turn) - (x->turn < y->turn);
}

void stock_takes_end(struct stock_takes *s)
{
	struct named_take *named = mem_array(s->n, sizeof *named);

	for (size_t i = 0; i < s->n; i++) {
		const struct stock_kind *k = &s->row[i].kind;

		named[i] = (struct named_take){ s->row[i], { stock_text(s->stock, k->place), stock_text(s->stock, k->lot), stock_text(s->stock, k->type),
			stock_text(s->stock, k->grade), stock_text(s->stock, k->class) }, i };
	}
	if (s->n)
		qsort(named, s->n, sizeof *named, by_name);
	for (size_t i = 0; i < s->n; i++)
		s->row[i] = named[i].row;
	free(named);
}

/* ---- the table */

static bool is_opening(const struct stock_taken *row)
{
	return row->booked == 0;
}

static int64_t difference(const struct stock_taken *row)
{
	return row->found - row->missing;
}

/* Of the difference, of which there may be more than were booked. */
static int64_t difference_value(const struct stock_taken *row)
{
	int64_t n = difference(row), size = n < 0 ? -n : n;
	int64_t value = row->value * (size / row->booked) + money_part(row->value, size % row->booked, row->booked);

	return n < 0 ? -value : value;
}

static void put_row(const struct stock_takes *s, int32_t today, const char *const *path, struct table *t, const struct stock_taken *row)
{
	const struct cost_book *book = &s->costing->book;

	stock_cell_day(t, today);
	stock_cell_day(t, row->op.day);
	stock_cell_word(t, stock_text(s->stock, row->kind.place));
	stock_cell_word(t, stock_text(s->stock, row->kind.lot));
	table_text(t, vocab_form(row->kind.form));
	stock_cell_word(t, stock_text(s->stock, row->kind.type));
	stock_cell_word(t, stock_text(s->stock, row->kind.grade));
	stock_cell_word(t, stock_text(s->stock, row->kind.class));
	table_int(t, row->booked);
	table_int(t, row->counted);
	table_int(t, row->missing);
	table_int(t, row->found);
	table_int(t, difference(row));
	stock_cell_word(t, book->own < 0 ? SLICE("") : vocab_currency_code(book->own));
	table_fixed(t, difference_value(row), (unsigned)book->places);
	stock_cells_line(t, path[row->op.file], stock_op_line(&row->op));
}

/* The tallies of one day, openings left out. */
struct day_sums {
	int32_t day;
	int64_t tallies, booked, missing, found, differ, value;
};

static struct day_sums sums_of(const struct stock_takes *s, size_t from, size_t to)
{
	struct day_sums sums = { .day = s->row[from].op.day };

	for (size_t i = from; i < to; i++) {
		const struct stock_taken *row = &s->row[i];

		if (is_opening(row))
			continue;
		sums.tallies++;
		sums.booked += row->booked;
		sums.missing += row->missing;
		sums.found += row->found;
		sums.differ += row->missing || row->found;
		sums.value += difference_value(row);
	}
	return sums;
}

static void say_day(const struct stock_takes *s, const struct day_sums *d, struct table *t)
{
	struct buf text = BUF_INIT;

	buf_str(&text, "On ");
	stock_say_day(&text, d->day);
	buf_str(&text, ", ");
	stock_say_count(&text, d->tallies, SLICE("count"));
	buf_str(&text, " of ");
	stock_say_count(&text, d->booked, SLICE("piece"));
	if (!d->differ) {
		buf_str(&text, " found no difference.");
	} else {
		buf_printf(&text, " found %lld missing and %lld more than booked, together ", (long long)d->missing, (long long)d->found);
		cost_book_money(&s->costing->book, d->value, &text);
		buf_char(&text, '.');
	}
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* A sentence for each day; returns how many tallies there were. */
static size_t say_days(const struct stock_takes *s, struct table *t)
{
	size_t tallies = 0;

	for (size_t i = 0, end; i < s->n; i = end) {
		struct day_sums sums;

		for (end = i; end < s->n && s->row[end].op.day == s->row[i].op.day;)
			end++;
		sums = sums_of(s, i, end);
		if (sums.tallies)
			say_day(s, &sums, t);
		tallies += (size_t)sums.tallies;
	}
	return tallies;
}

static void note_openings(const struct stock_takes *s, struct table *t)
{
	int64_t lines = 0, pieces = 0;
	struct buf text = BUF_INIT;

	for (size_t i = 0; i < s->n; i++) {
		lines += is_opening(&s->row[i]);
		pieces += is_opening(&s->row[i]) ? s->row[i].found : 0;
	}
	if (lines) {
		stock_say_count(&text, lines, SLICE("tally line"));
		buf_str(&text, " brought the first ");
		stock_say_count(&text, pieces, SLICE("piece"));
		buf_str(&text, " of their kind, and no difference");
		table_note(t, buf_slice(&text));
	}
	buf_release(&text);
}

size_t stock_takes_view(const struct stock_takes *s, int32_t today, const char *const *path, struct table *t)
{
	const unsigned places = (unsigned)s->costing->book.places;
	const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "day", TABLE_DATE, 0, "day" }, { "place", TABLE_TEXT, 0, "place" },
		{ "lot", TABLE_TEXT, 0, "lot" }, { "form", TABLE_TEXT, 0, NULL }, { "type", TABLE_TEXT, 0, "type" }, { "grade", TABLE_TEXT, 0, "grade" },
		{ "class", TABLE_TEXT, 0, NULL }, { "booked", TABLE_INT, 0, NULL }, { "counted", TABLE_INT, 0, NULL }, { "missing", TABLE_INT, 0, NULL },
		{ "found", TABLE_INT, 0, NULL }, { "difference", TABLE_INT, 0, "differs" }, { "currency", TABLE_TEXT, 0, NULL }, { "value", TABLE_FIXED, (unsigned char)places, "value" },
		{ "file", TABLE_TEXT, 0, NULL }, { "line", TABLE_TEXT, 0, "line" } };
	size_t tallies;

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < s->n; i++)
		if (!is_opening(&s->row[i]) && (s->row[i].missing || s->row[i].found))
			put_row(s, today, path, t, &s->row[i]);
	tallies = say_days(s, t);
	if (!tallies)
		table_finding(t, SLICE("There is no stock-take."));
	table_note(t, SLICE("value: of the difference, at the mean cost of such pieces of the lot in that place just before"));
	note_openings(s, t);
	return tallies;
}
