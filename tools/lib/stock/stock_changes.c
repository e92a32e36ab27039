#include "stock/stock_changes.h"

#include <stdlib.h>

#include "stock/stock_cells.h"
#include "stock/stock_say.h"

/* ---- what is chosen */

static bool read_part(struct slice part, struct stock_choice *choice)
{
	size_t equals = slice_find(part, '=');

	for (size_t by = 0; by < STOCK_BY_AGE && equals + 1 < part.n; by++)
		if (slice_eq(slice_upto(part, equals), slice_of(stock_by_words[by])) && !choice->word[by].n) {
			choice->word[by] = slice_from(part, equals + 1);
			return true;
		}
	return false;
}

const char *stock_choice_read(struct slice text, struct stock_choice *choice)
{
	*choice = (struct stock_choice){ .word = { { NULL, 0 } } };
	for (bool more = true; more;) {
		size_t end = slice_find(text, ',');

		if (!read_part(slice_upto(text, end), choice))
			return "is not a choice of pieces; write some of place=, form=, type=, grade=, class= and lot=, each once, such as place=store/r1,type=SH,grade=1 (- for none)";
		more = end < text.n;
		text = slice_from(text, more ? end + 1 : end);
	}
	if (choice->word[STOCK_BY_FORM].n && vocab_form_named(choice->word[STOCK_BY_FORM]) < 0)
		return "has a form that is none; write form=cleft, blade, handle or bat";
	return NULL;
}

static bool fits(struct slice chosen, struct slice is)
{
	return !chosen.n || slice_eq(chosen, is.n ? is : SLICE("-"));
}

static bool is_chosen(const struct stock_changes *c, const struct stock_kind *k)
{
	const struct stock *s = c->stock;
	const struct slice *word = c->choice.word;

	return k->lot && k->place != s->sold && k->place != s->culled && fits(word[STOCK_BY_PLACE], stock_text(s, k->place)) &&
		fits(word[STOCK_BY_FORM], vocab_form(k->form)) && fits(word[STOCK_BY_TYPE], stock_text(s, k->type)) &&
		fits(word[STOCK_BY_GRADE], stock_text(s, k->grade)) && fits(word[STOCK_BY_CLASS], stock_text(s, k->class)) &&
		fits(word[STOCK_BY_LOT], stock_text(s, k->lot));
}

/* ---- the changes */

void stock_changes_init(struct stock_changes *c, const struct stock *s, const struct stock_choice *choice, int32_t since)
{
	*c = (struct stock_changes){ .stock = s, .choice = *choice, .since = since };
}

void stock_changes_release(struct stock_changes *c)
{
	free(c->row);
	*c = (struct stock_changes){ .n = 0 };
}

/* A bat's handle makes no second bat, and one that comes off was in no place. */
static bool comes(const struct stock_changes *c, const struct stock_flow *f)
{
	if (f->change == STOCK_LOST || f->change == STOCK_CAME_OFF || (f->change == STOCK_JOINED && f->from.form != FORM_BLADE))
		return false;
	return is_chosen(c, &f->to);
}

static bool goes(const struct stock_changes *c, const struct stock_flow *f)
{
	return f->change != STOCK_BORN && f->change != STOCK_FOUND && f->change != STOCK_CAME_OFF && is_chosen(c, &f->from);
}

void stock_changes_flow(void *context, const struct stock_flow *f)
{
	struct stock_changes *c = context;
	bool in = comes(c, f), out = goes(c, f);

	if (in == out)
		return;
	if (f->op->day < c->since) {
		c->before += in ? f->n : -f->n;
		return;
	}
	if (!c->n || c->row[c->n - 1].op.at_log != f->op->at_log) {
		c->row = mem_grow(c->row, &c->cap, c->n + 1, sizeof *c->row);
		c->row[c->n] = (struct stock_changed){ .op = *f->op, .lot = stock_text(c->stock, in ? f->to.lot : f->from.lot), .turn = c->n };
		c->n++;
	}
	*(in ? &c->row[c->n - 1].in : &c->row[c->n - 1].out) += f->n;
}

/* ---- their order */

static int by_lot(const void *a, const void *b)
{
	const struct stock_changed *x = a, *y = b;
	int order = (x->op.day > y->op.day) - (x->op.day < y->op.day);

	order = order ? order : slice_cmp(x->lot, y->lot);
	return order ? order : (x->turn > y->turn) - (x->turn < y->turn);
}

static int by_time(const void *a, const void *b)
{
	const struct stock_changed *x = a, *y = b;
	int order = (x->op.day > y->op.day) - (x->op.day < y->op.day);

	order = order ? order : (x->second > y->second) - (x->second < y->second);
	return order ? order : by_lot(a, b);
}

/* Lines of one lot keep their order, so that one without a time is as late as the one before it. */
void stock_changes_end(struct stock_changes *c)
{
	if (c->n)
		qsort(c->row, c->n, sizeof *c->row, by_lot);
	for (size_t i = 0; i < c->n; i++) {
		struct stock_changed *row = &c->row[i];
		bool goes_on = i && row[-1].op.day == row->op.day && slice_eq(row[-1].lot, row->lot);
		int64_t own = row->op.second == STOCK_UNTIMED ? INT64_MIN : row->op.second;

		row->second = goes_on && row[-1].second > own ? row[-1].second : own;
	}
	if (c->n)
		qsort(c->row, c->n, sizeof *c->row, by_time);
}

/* ---- the table */

static void put_row(const struct stock_changes *c, struct table *t, const struct stock_changed *row, int64_t total, const char *path)
{
	const struct stock *s = c->stock;

	stock_cell_word(t, row->op.event->name);
	stock_cell_word(t, row->op.lot == STOCK_ANY ? SLICE("") : stock_text(s, row->op.lot));
	stock_cell_word(t, stock_text(s, row->op.subject));
	table_int(t, row->in);
	table_int(t, row->out);
	table_int(t, total);
	stock_cell_word(t, stock_text(s, row->op.order));
	stock_cell_word(t, stock_text(s, row->op.by));
	stock_cells_line(t, path, stock_op_line(&row->op));
}

static void say_changes(const struct stock_changes *c, int32_t today, int64_t in, int64_t out, struct table *t)
{
	struct buf text = BUF_INIT;

	if (c->since != INT32_MIN) {
		buf_str(&text, "From ");
		stock_say_day(&text, c->since);
		buf_str(&text, " to ");
	} else {
		buf_str(&text, "Up to ");
	}
	stock_say_day(&text, today);
	buf_str(&text, ", ");
	stock_say_count(&text, (int64_t)c->n, SLICE("line"));
	buf_str(&text, " changed these pieces: ");
	if (c->since != INT32_MIN)
		buf_printf(&text, "%lld before, ", (long long)c->before);
	buf_printf(&text, "%lld came, %lld went, %lld %s there.", (long long)in, (long long)out, (long long)(c->before + in - out),
		PLURAL(c->before + in - out, "is", "are"));
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

void stock_changes_view(const struct stock_changes *c, int32_t today, const char *const *path, struct table *t)
{
	static const struct table_column columns[] = { { "as_of", TABLE_DATE, 0, NULL }, { "day", TABLE_DATE, 0, "day" }, { "event", TABLE_TEXT, 0, "event" },
		{ "lot", TABLE_TEXT, 0, NULL }, { "subject", TABLE_TEXT, 0, "subject" }, { "in", TABLE_INT, 0, "in" }, { "out", TABLE_INT, 0, "out" },
		{ "total", TABLE_INT, 0, "total" }, { "order", TABLE_TEXT, 0, "for" }, { "by", TABLE_TEXT, 0, NULL }, { "file", TABLE_TEXT, 0, NULL },
		{ "line", TABLE_TEXT, 0, "line" } };
	int64_t in = 0, out = 0;

	table_init(t, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < c->n; i++) {
		in += c->row[i].in;
		out += c->row[i].out;
		stock_cell_day(t, today);
		stock_cell_day(t, c->row[i].op.day);
		put_row(c, t, &c->row[i], c->before + in - out, path[c->row[i].op.file]);
	}
	say_changes(c, today, in, out, t);
	table_note(t, SLICE("in, out: pieces that came to and left the chosen ones by that line; total: how many there are after it"));
}
