
#include "cost/cost_view_internal.h"

static int64_t each(const struct cost_row *row)
{
	return row->n ? money_part(cost_row_sum(row), 1, row->n) : 0;
}

static void say_shares(const struct cost_row *row, struct buf *text)
{
	static const char *const WORD[] = { "timber", "drying", "other", "losses" };
	const int64_t part[] = { row->own[COST_FOR_TIMBER], row->own[COST_FOR_DRYING], row->own[COST_FOR_OTHER], row->loss };
	int64_t sum = cost_row_sum(row);
	bool first = true;

	for (int i = 0; sum > 0 && i < 4; i++) {
		if (!part[i])
			continue;
		buf_str(text, first ? ": " : ", ");
		buf_printf(text, "%s ", WORD[i]);
		stock_say_percent(text, (double)part[i] / (double)sum);
		first = false;
	}
	buf_char(text, '.');
}

static void say_period(const struct costing *c, struct buf *text)
{
	if (c->ask->from != INT32_MIN) {
		buf_str(text, " graded from ");
		stock_say_day(text, c->ask->from);
		buf_str(text, " to ");
	} else
		buf_str(text, " graded up to ");
	stock_say_day(text, c->ask->to < c->ask->today ? c->ask->to : c->ask->today);
}

static void add_name(const struct costing *c, const struct cost_row *row, struct buf *text)
{
	for (size_t i = 0; i < c->ask->nby; i++) {
		buf_printf(text, "%s%s%s", i ? ", " : "", row->key[i].n ? "" : "no ", cost_by_words[c->ask->by[i]]);
		if (row->key[i].n) {
			buf_char(text, ' ');
			buf_add(text, row->key[i]);
		}
	}
}

/* The dearest and the cheapest row. */
static void say_ends(const struct costing *c, const struct cost_rows *r, struct buf *text)
{
	const struct cost_row *most = NULL, *least = NULL;

	for (size_t i = 0; i < r->n; i++) {
		const struct cost_row *row = &r->row[i];

		if (!row->n)
			continue;
		most = !most || each(row) > each(most) ? row : most;
		least = !least || each(row) < each(least) ? row : least;
	}
	if (!most || most == least)
		return;
	buf_str(text, " The dearest are those of ");
	add_name(c, most, text);
	buf_str(text, " (");
	cost_book_money(&c->book, each(most), text);
	buf_str(text, "), the cheapest those of ");
	add_name(c, least, text);
	buf_str(text, " (");
	cost_book_money(&c->book, each(least), text);
	buf_str(text, ").");
}

static void say_blades(const struct costing *c, const struct cost_rows *r, struct table *t)
{
	struct buf text = BUF_INIT;

	if (!r->all.n) {
		buf_str(&text, r->all.bare ? "The book has no price for the wood of the blades" : "No blade was");
		say_period(c, &text);
		buf_char(&text, '.');
	} else {
		buf_str(&text, "A usable blade");
		say_period(c, &text);
		buf_str(&text, " cost ");
		cost_book_money(&c->book, each(&r->all), &text);
		say_shares(&r->all, &text);
		say_ends(c, r, &text);
	}
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

/* The cells that the keys take, as ids commonly are, and those of a figure. */
enum { KEY_CELLS = 9, FIGURE_CELLS = 9 };

static void add_shares(struct table *t, size_t room)
{
	static const struct { const char *name, *heading; size_t rank; } SHARE[] = { { "timber_share", "timber, %", 2 }, { "drying_share", "drying, %", 3 },
		{ "other_share", "other, %", 6 }, { "losses_share", "losses, %", 4 } };

	for (size_t i = 0; i < sizeof SHARE / sizeof *SHARE; i++) {
		table_add_column(t, SHARE[i].name, TABLE_REAL, TABLE_PERCENT);
		table_heading(t, stock_say_heading(SHARE[i].heading, SHARE[i].rank, room));
	}
}

static void start_blades(const struct costing *c, struct table *t)
{
	size_t room = stock_say_room(c->ask->nby * KEY_CELLS, FIGURE_CELLS);

	table_init(t, NULL, 0);
	table_add_column(t, "as_of", TABLE_DATE, 0);
	cost_view_keys(c, t);
	table_add_column(t, "blades", TABLE_INT, 0);
	table_heading(t, stock_say_heading("blades", 1, room));
	table_add_column(t, "currency", TABLE_TEXT, 0);
	cost_view_column(c, t, "each", "each");
	cost_view_column(c, t, "cost", stock_say_heading("in all", 5, room));
	cost_view_column(c, t, "timber", NULL);
	cost_view_column(c, t, "drying", NULL);
	cost_view_column(c, t, "other", NULL);
	cost_view_column(c, t, "losses", NULL);
	add_shares(t, room);
	table_add_column(t, "shared", TABLE_INT, 0);
	table_add_column(t, "without_price", TABLE_INT, 0);
}

static void put_share(struct table *t, int64_t part, int64_t sum)
{
	if (sum > 0)
		table_real(t, (double)part / (double)sum);
	else
		table_absent(t);
}

static void put_blades(const struct costing *c, struct table *t, const struct cost_row *keys, const struct cost_row *row)
{
	const int64_t part[] = { row->own[COST_FOR_TIMBER], row->own[COST_FOR_DRYING], row->own[COST_FOR_OTHER], row->loss };
	int64_t sum = cost_row_sum(row);

	stock_cell_day(t, c->ask->today);
	cost_view_row_keys(c, t, keys);
	table_int(t, row->n);
	cost_view_currency(c, t);
	if (row->n)
		cost_view_money(c, t, each(row));
	else
		table_absent(t);
	cost_view_money(c, t, sum);
	for (int i = 0; i < 4; i++)
		cost_view_money(c, t, part[i]);
	for (int i = 0; i < 4; i++)
		put_share(t, part[i], sum);
	table_int(t, row->mixed);
	table_int(t, row->bare);
}

static bool has_joint(const struct costing *c)
{
	for (size_t e = 0; e < c->book.nelements; e++)
		if (c->book.element[e].by_worth)
			return true;
	return false;
}

static void note_worth(const struct costing *c, struct table *t)
{
	struct buf text = BUF_INIT;

	if (!c->carry.unweighed || !has_joint(c))
		return;
	buf_str(&text, "joint costs of ");
	stock_say_count(&text, c->carry.unweighed, SLICE("blade"));
	buf_str(&text, " are divided by piece, because ");
	buf_str(&text, c->ask->by_sales ? "one of their grades has no sale that names it" : "the house file gives no worth for one of their grades");
	table_note(t, buf_slice(&text));
	buf_release(&text);
}

static void note_blades(const struct costing *c, const struct cost_rows *r, struct table *t)
{
	struct buf text = BUF_INIT;

	if (r->all.n)
		table_note(t, SLICE("blades: graded and not culled, those sold or in bats too; losses: what the culled pieces had cost"));
	if (r->all.mixed) {
		stock_say_count(&text, r->all.mixed, SLICE("blade"));
		buf_str(&text, " came out of pools, or of lots or batches of several origins; whose they are is a share, not known");
		table_note(t, buf_slice(&text));
	}
	if (r->all.bare && r->all.n) {
		text.n = 0;
		stock_say_count(&text, r->all.bare, SLICE("blade"));
		buf_str(&text, " left out: the book has no price for their wood");
		table_note(t, buf_slice(&text));
	}
	note_worth(c, t);
	cost_view_notes(c, t);
	buf_release(&text);
}

void cost_view_blades(const struct costing *c, struct table *t)
{
	struct cost_rows r;

	cost_rows_init(&r, c, COST_OF_BLADES);
	start_blades(c, t);
	for (size_t i = 0; i < r.n; i++)
		if (r.row[i].n)
			put_blades(c, t, &r.row[i], &r.row[i]);
	if (r.all.n && c->ask->nby)
		put_blades(c, t, NULL, &r.all);
	say_blades(c, &r, t);
	note_blades(c, &r, t);
	cost_rows_release(&r);
}
