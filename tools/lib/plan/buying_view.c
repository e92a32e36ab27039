#include "plan/buying.h"

#include <math.h>

#include "plan/plan.h"
#include "stock/stock_cells.h"
#include "stock/stock_say.h"

static void say_amount(const struct plan *p, double amount, struct buf *out)
{
	cost_book_money(&p->parts.costing.book, llround(amount), out);
}

/* "1"; "1/light" or "1 at 2lb8oz..2lb12oz" of what an order asks for so. */
static void say_grade(const struct plan *p, const struct buying_want *w, struct buf *out)
{
	buf_add(out, stock_text(p->stock, w->grade));
	if (w->need && w->need->item->class != STOCK_ANY) {
		buf_char(out, '/');
		buf_add(out, stock_text(p->stock, w->need->item->class));
	}
	if (w->need && order_has_mass(w->need->order)) {
		buf_str(out, " at ");
		order_say_mass(w->need->order, p->stock, out);
	}
}

static void put_grade(const struct plan *p, const struct buying_want *w, struct table *t)
{
	struct buf text = BUF_INIT;

	say_grade(p, w, &text);
	stock_cell_word(t, buf_slice(&text));
	buf_release(&text);
}

static void say_row(const struct buying *b, const struct plan *p, const struct buying_row *row, struct buf *out)
{
	const struct buying_want *w = &b->want[row->decides];

	stock_say_count(out, row->count, SLICE("cleft"));
	buf_char(out, ' ');
	buf_add(out, stock_text(p->stock, row->type));
	buf_str(out, " of ");
	buf_add(out, stock_text(p->stock, row->source));
	buf_str(out, " (");
	say_amount(p, row->price * (double)row->count, out);
	buf_str(out, "; grade ");
	say_grade(p, w, out);
	buf_str(out, " decides)");
}

/* How many of so many blades of a type a year does not use. */
static double over_of(const struct buying *b, uint32_t type, double blades)
{
	double wanted = 0;

	for (size_t k = 0; k < b->nwants; k++)
		wanted += b->want[k].type == type && !b->want[k].need ? (double)b->want[k].wanted : 0;
	return fmax(0, blades - wanted);
}

/* Those that the cheapest bring. */
static double blades_over(const struct buying *b)
{
	double over = 0;

	for (size_t i = 0; i < b->n; i++)
		over += b->row[i].cheapest ? over_of(b, b->row[i].type, b->row[i].expected) : 0;
	return over;
}

static void say_parts(const struct buying *b, const struct plan *p, const struct buying_mix *mix, struct buf *out)
{
	for (size_t i = 0; i < mix->n; i++) {
		const struct buying_part *part = &b->part[mix->first + i];

		buf_printf(out, "%s%lld of ", i == 0 ? "" : i + 1 < mix->n ? ", " : " and ", (long long)part->count);
		buf_add(out, stock_text(p->stock, part->source));
	}
}

/* "1600 of P15 and 420 of alder for SH (22000.00 NZD, 15 % less)" */
static void say_mix(const struct buying *b, const struct plan *p, const struct buying_mix *mix, struct buf *out)
{
	say_parts(b, p, mix, out);
	buf_str(out, " for ");
	buf_add(out, stock_text(p->stock, mix->type));
	buf_str(out, " (");
	say_amount(p, mix->total, out);
	if (isnan(mix->single_total))
		buf_str(out, "; no source alone is enough)");
	else
		buf_printf(out, ", %.3g %% less)", 100 * (1 - mix->total / mix->single_total));
}

static void say_mixes(const struct buying *b, const struct plan *p, struct buf *out)
{
	size_t said = 0;

	for (size_t i = 0; i < b->nmixes; i++) {
		if (b->mix[i].goal != BUYING_CHEAPEST)
			continue;
		buf_str(out, said++ ? "; " : " Mixes are cheaper: ");
		say_mix(b, p, &b->mix[i], out);
	}
	buf_str(out, said ? "." : "");
}

static void say_buying(const struct buying *b, const struct plan *p, struct table *t)
{
	struct buf text = BUF_INIT;
	size_t said = 0;

	for (size_t i = 0; i < b->n; i++) {
		if (!b->row[i].cheapest)
			continue;
		buf_str(&text, said++ ? ", " : "For a year's use and the open orders, the cheapest single sources are: ");
		say_row(b, p, &b->row[i], &text);
	}
	if (said)
		buf_printf(&text, ". Each grade is then enough with a chance of %.4g %%, and about %.0f blades of other grades are left over.", 100 * p->ask->chance,
			blades_over(b));
	else if (b->n)
		buf_str(&text, "What to buy of each source; no price of their wood is in the book.");
	else
		buf_str(&text, b->nwants ? "Nothing has to be bought: stock, charges and yard are enough for a year's use and the open orders." :
			"No blade was graded or used yet, so that nothing is known of what to buy.");
	say_mixes(b, p, &text);
	table_finding(t, buf_slice(&text));
	buf_release(&text);
}

static void put_amount(const struct plan *p, struct table *t, double amount)
{
	int places = p->parts.costing.book.places;

	if (isnan(amount) || p->parts.costing.book.own < 0)
		table_absent(t);
	else
		table_fixed(t, llround(amount), (unsigned)places);
}

static void put_currency(const struct plan *p, struct table *t)
{
	int own = p->parts.costing.book.own;

	stock_cell_word(t, own < 0 ? SLICE("") : vocab_currency_code(own));
}

static void put_row(const struct buying *b, const struct plan *p, const struct buying_row *row, struct table *t)
{
	bool known = row->count <= BUYING_MOST;

	stock_cell_day(t, p->ask->today);
	stock_cell_word(t, stock_text(p->stock, row->type));
	stock_cell_word(t, stock_text(p->stock, row->source));
	table_int(t, (int64_t)row->past);
	if (known)
		table_int(t, row->count);
	else
		table_absent(t);
	put_grade(p, &b->want[row->decides], t);
	table_real(t, known ? row->expected : (double)NAN);
	put_currency(p, t);
	put_amount(p, t, row->price);
	put_amount(p, t, known ? row->price * (double)row->count : (double)NAN);
	table_cstr(t, row->cheapest ? "cheapest" : "");
}

static void view_rows(const struct buying *b, const struct plan *p, struct table *t)
{
	static const struct table_column columns[] = {
		{ "as_of", TABLE_DATE, 0, NULL }, { "type", TABLE_TEXT, 0, "type" }, { "source", TABLE_TEXT, 0, "source" }, { "pieces_so_far", TABLE_INT, 0, "so far" },
		{ "buy", TABLE_INT, 0, "buy" }, { "grade_decides", TABLE_TEXT, 0, "grade decides" }, { "blades_mean", TABLE_REAL, 0, "blades" },
		{ "currency", TABLE_TEXT, 0, NULL }, { "price_each", TABLE_FIXED, TABLE_EXACT, "each" }, { "price", TABLE_FIXED, TABLE_EXACT, "in all" }, { "remark", TABLE_TEXT, 0, "" },
	};

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("What to buy, if all of a type comes from one source"), "buy");
	say_buying(b, p, t);
	for (size_t i = 0; i < b->n; i++)
		put_row(b, p, &b->row[i], t);
	table_note(t, SLICE("so far: pieces of the source in the book; blades: of any grade, in the mean; prices: of timber so far, without drying"));
}

static void put_part(const struct buying *b, const struct plan *p, const struct buying_mix *mix, const struct buying_part *part, struct table *t)
{
	static const char *const GOAL[] = { [BUYING_CHEAPEST] = "cheapest", [BUYING_LEAST_LEFT] = "least left over" };

	stock_cell_day(t, p->ask->today);
	stock_cell_word(t, stock_text(p->stock, mix->type));
	table_cstr(t, GOAL[mix->goal]);
	stock_cell_word(t, stock_text(p->stock, part->source));
	table_int(t, part->count);
	put_currency(p, t);
	put_amount(p, t, part->price * (double)part->count);
	put_amount(p, t, mix->total);
	put_amount(p, t, mix->single_total);
	table_real(t, over_of(b, mix->type, mix->expected));
	table_real(t, isnan(mix->single_expected) ? (double)NAN : over_of(b, mix->type, mix->single_expected));
	put_grade(p, &b->want[mix->decides], t);
	table_real(t, mix->chance);
	table_cstr(t, mix->complete ? "all" : "exchanges");
}

static void view_mixes(const struct buying *b, const struct plan *p, struct table *t)
{
	static const struct table_column columns[] = {
		{ "as_of", TABLE_DATE, 0, NULL }, { "type", TABLE_TEXT, 0, "type" }, { "goal", TABLE_TEXT, 0, "mix" }, { "source", TABLE_TEXT, 0, "source" },
		{ "buy", TABLE_INT, 0, "buy" }, { "currency", TABLE_TEXT, 0, NULL }, { "price", TABLE_FIXED, TABLE_EXACT, NULL },
		{ "price_all", TABLE_FIXED, TABLE_EXACT, "in all" }, { "price_single", TABLE_FIXED, TABLE_EXACT, NULL }, { "left_over", TABLE_REAL, 0, "left over" }, { "left_over_single", TABLE_REAL, 0, NULL },
		{ "grade_decides", TABLE_TEXT, 0, "grade decides" }, { "chance", TABLE_REAL, (TABLE_PERCENT | TABLE_DOWN) + 0, NULL }, { "searched", TABLE_TEXT, 0, NULL },
	};

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("Mixes that are better than any single source"), "mixes");
	for (size_t i = 0; i < b->nmixes; i++)
		for (size_t k = 0; k < b->mix[i].n; k++)
			put_part(b, p, &b->mix[i], &b->part[b->mix[i].first + k], t);
	table_note(t, SLICE("left over: blades of any grade that a year does not use, in the mean"));
}

static void view_wants(const struct buying *b, const struct plan *p, struct table *t)
{
	static const struct table_column columns[] = {
		{ "type", TABLE_TEXT, 0, "type" }, { "grade", TABLE_TEXT, 0, "grade" }, { "used_52w", TABLE_INT, 0, "used in 52 weeks" },
		{ "short", TABLE_INT, 0, "short to orders" }, { "free", TABLE_INT, 0, "free in stock" }, { "wanted", TABLE_INT, 0, "wanted" },
		{ "coming_chance", TABLE_REAL, (TABLE_PERCENT | TABLE_DOWN) + 0, "will come, chance" },
	};

	table_init(t, columns, sizeof columns / sizeof *columns);
	table_title(t, SLICE("What is wanted"), "wanted");
	for (size_t i = 0; i < b->nwants; i++) {
		const struct buying_want *w = &b->want[i];

		stock_cell_word(t, stock_text(p->stock, w->type));
		put_grade(p, w, t);
		table_int(t, w->used);
		table_int(t, w->short_of);
		table_int(t, w->free);
		table_int(t, w->wanted);
		table_real(t, w->chance);
	}
	table_note(t, SLICE("will come: the chance that what is under way and in the yard is enough for what is wanted"));
}

void buying_view(const struct buying *b, const struct plan *p, struct table *t)
{
	view_rows(b, p, &t[0]);
	view_mixes(b, p, &t[1]);
	view_wants(b, p, &t[2]);
}
