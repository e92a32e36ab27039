/* wy-plan - what the next charges should hold, for the orders; wy-plan(1). */
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "cli/tool_book.h"
#include "moist/moist_ask.h"
#include "plan/buying.h"
#include "plan/plan.h"
#include "plan/plan_fill.h"
#include "plan/plan_view.h"

/* ---- options */

/* Those of every answer, in their order, and lines for the book. */
static const char *const form_words[] = { "text", "tsv", "csv", "json", "md", "html", "book", NULL };
enum { AS_BOOK = TABLE_AS_HTML + 1 };

static int form = -1;
static const char *chance_text = "90%", *kilns_text;
static int64_t charges = 1;
static bool want_fill, want_buy;

static const struct opt options[] = {
	OPT_TEXT(0, "chance", &chance_text, "CHANCE", "the chance with which each order is to be met in time (90%)"),
	OPT_TEXT(0, "kiln", &kilns_text, "KILN,...", "only these kilns; default: all that have a capacity"),
	OPT_INT(0, "charges", &charges, "N", 1, PLAN_CHARGES_MOST, "the next N charges of each kiln (1)"),
	OPT_FLAG(0, "fill", &want_fill, "load what room is left for the usual demand"),
	OPT_FLAG(0, "buy", &want_buy, "what to buy for a year's use and the open orders, and of whom"),
	OPT_PART(tool_house_options),
	OPT_WORD(0, "as", &form, form_words, "form of the answer; else text on a terminal, and book,\nload lines for the book, elsewhere"),
	OPT_FLAG(0, "no-header", &tool.no_header, "leave out the header row"),
	OPT_PART(tool_column_options),
	OPT_PART(tool_on_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-plan",
	.purpose = "what the next charges should hold, for the orders",
	.usage = "[--chance=CHANCE] [--kiln=KILN,...] [--charges=N] [--fill] [options] [FILE...]\n--buy [--chance=CHANCE] [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("an order is not met in time with that chance"),
	.example = "wy-plan --kiln north --as=book -b\nload lines for the next charge of that kiln, with reasons",
};

static struct plan_ask ask;
static const struct house_place **kilns;

/* 0.9 as the humidity that it looks like, 90.0%: its point goes two places on. */
static void shift_point(struct slice text, struct buf *out)
{
	static const char *const NONE = "00";
	struct slice digits = slice_from(text, SLICE("0.").n);

	buf_add(out, slice_upto(digits, digits.n < 2 ? digits.n : 2));
	buf_add(out, slice_upto(slice_of(NONE), digits.n < 2 ? 2 - digits.n : 0));
	if (digits.n > 2) {
		buf_char(out, '.');
		buf_add(out, slice_from(digits, 2));
	}
	buf_char(out, '%');
}

/* 90% and 0.9 are the same. */
static void choose_chance(void)
{
	struct slice text = slice_of(chance_text);
	struct buf percent = BUF_INIT;

	if (slice_starts(text, SLICE("0.")) && slice_find(text, '%') == text.n)
		shift_point(text, &percent);
	else
		buf_add(&percent, text);
	if (moist_ask_share(buf_slice(&percent), &ask.chance) != MOIST_SHARE_OK)
		tool_misused("--chance '%s' is not a chance from 0.0001%% to 99.9999%%; write it as 90%%", chance_text);
	buf_release(&percent);
}

static void choose(void)
{
	choose_chance();
	ask.charges = (size_t)charges;
	if (want_buy && (want_fill || kilns_text || charges > 1 || form == AS_BOOK))
		tool_misused("--buy cannot be used with --kiln, --charges, --fill or --as=book; leave one out");
	if (form < 0 && !want_buy)
		form = isatty(STDOUT_FILENO) ? TABLE_AS_TEXT : AS_BOOK;
	if (form != AS_BOOK)
		tool.form = form;
}

/* ---- the kilns */

static void add_kiln(const struct house_place *place)
{
	for (size_t i = 0; i < ask.nkilns; i++)
		if (kilns[i] == place)
			tool_misused("--kiln names %.*s twice; name it once", (int)place->id.n, place->id.p);
	kilns[ask.nkilns++] = place;
}

static void add_named(const struct house *house, struct slice name)
{
	const struct house_place *place = house_place(house, name);

	if (!place || !slice_eq(place->id, name) || place->kind != HOUSE_PLACE_KIND_KILN)
		tool_misused("'%.*s' is not a kiln of the house file; see places: there", (int)name.n, name.p);
	if (place->capacity == HOUSE_NONE)
		tool_fail("kiln %.*s has no capacity in the house file; add capacity: and the most pieces that it holds", (int)name.n, name.p);
	add_kiln(place);
}

static void choose_kilns(const struct house *house)
{
	struct slice left = slice_of(kilns_text ? kilns_text : "");

	kilns = calloc(house->nplaces + 1, sizeof *kilns);
	if (!kilns)
		tool_fail("out of memory");
	if (kilns_text && !left.n)
		tool_misused("--kiln names no kiln; write ids of kilns with commas between, or leave it out");
	while (left.n) {
		size_t end = slice_find(left, ',');

		add_named(house, slice_upto(left, end));
		left = slice_from(left, end < left.n ? end + 1 : end);
	}
	for (size_t i = 0; i < house->nplaces && !kilns_text; i++)
		if (house->places[i].kind == HOUSE_PLACE_KIND_KILN && house->places[i].capacity != HOUSE_NONE)
			add_kiln(&house->places[i]);
	if (!ask.nkilns && !want_buy)
		tool_fail("no kiln has a capacity in the house file; add capacity: to a place of the kind kiln");
	ask.kiln = kilns;
}

/* ---- the answer */

static struct book book;
static struct stock stock;
static struct plan plan;

static void take(void *context, const struct line *l)
{
	int64_t utc_s;

	book_instant(&book, &l->stamp, &utc_s);
	plan_add(context, l, utc_s);
}

static int read_book(void)
{
	int status;

	book_start(&book, BOOK_HOUSE);
	choose_kilns(book.house);
	book_stock_init(&book, &stock);
	ask.today = book_today(&book);
	plan_init(&plan, &ask, book.house, book.zone, &stock);
	status = book_stock_read(&book, &stock, ask.today, take, &plan);
	plan_begin(&plan);
	stock_run(&stock, ask.today, plan_flow, &plan);
	plan_end(&plan);
	if (want_fill)
		plan_fill(&plan);
	if (plan.parts.readings.error)
		tool_fail("cannot hold the readings of moisture in a temporary file: %s", strerror(plan.parts.readings.error));
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

static void print_lines(void)
{
	struct buf out = BUF_INIT;

	plan_lines(&plan, &out);
	tool_put_buf(&out);
	buf_release(&out);
}

static bool is_for_reading(void)
{
	return tool_form() == TABLE_AS_TEXT || tool_form() == TABLE_AS_MD || tool_form() == TABLE_AS_HTML;
}

/* For reading, those that have rows. */
static void print_tables(void)
{
	const struct table *shown[PLAN_TABLES];
	struct table t[PLAN_TABLES];
	bool reading = is_for_reading();
	size_t n = 0;

	plan_view(&plan, t);
	for (size_t i = 0; i < PLAN_TABLES; i++)
		if (!reading || table_rows(&t[i]) || (i == 0 && !table_rows(&t[1])))
			shown[n++] = &t[i];
	tool_print_tables(shown, n);
	for (size_t i = 0; i < PLAN_TABLES; i++)
		table_release(&t[i]);
}

/* Whether something is to be bought. For reading, a table without rows is left out. */
static bool print_buying(void)
{
	const struct table *shown[BUYING_TABLES];
	struct table t[BUYING_TABLES];
	struct buying buying;
	size_t n = 0;

	buying_find(&buying, &plan);
	buying_view(&buying, &plan, t);
	for (size_t i = 0; i < BUYING_TABLES; i++)
		if (i != BUYING_MIXES || table_rows(&t[i]) || !is_for_reading())
			shown[n++] = &t[i];
	tool_print_tables(shown, n);
	for (size_t i = 0; i < BUYING_TABLES; i++)
		table_release(&t[i]);
	n = buying.nwants;
	buying_release(&buying);
	return n > 0;
}

static bool all_in_time(void)
{
	for (size_t i = 0; i < plan.planner.nneeds; i++)
		if (plan.planner.need[i].end != PLANNER_COVERED && plan.planner.need[i].end != PLANNER_IN_TIME)
			return false;
	return true;
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose();
	status = read_book();
	if (want_buy)
		status = print_buying() ? status : TOOL_NO;
	else if (form == AS_BOOK)
		print_lines();
	else
		print_tables();
	if (!want_buy && !all_in_time())
		status = TOOL_NO;
	plan_release(&plan);
	stock_release(&stock);
	free(kilns);
	return tool_finish(status);
}
