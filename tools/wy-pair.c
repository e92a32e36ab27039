/* wy-pair - which handles go into which blades; wy-pair(1). */
#include <string.h>

#include "air/air_book.h"
#include "cli/tool_book.h"
#include "moist/readings.h"
#include "pair/pair_lines.h"
#include "pair/pair_view.h"
#include "pair/pairing.h"

/* ---- options */

static const char *blades, *handles, *order, *type, *grade, *class, *most_apart, *most_gap, *mass, *by, *first, *shop;
static int64_t count = WANTED_ALL, read_within = -1;
static bool want_make, only_pairs, only_left;

static const struct opt options[] = {
	OPT_TEXT(0, "blades", &blades, "WHERE,...", "the blades: places, lots or pieces such as C013/19 (all shops)"),
	OPT_TEXT(0, "handles", &handles, "WHERE,...", "the handles, likewise (all shops)"),
	OPT_TEXT(0, "order", &order, "ID", "only blades for the bats that this order still needs"),
	OPT_TEXT(0, "type", &type, "TYPE", "only blades of this type"),
	OPT_TEXT(0, "grade", &grade, "GRADE", "only blades of this grade"),
	OPT_TEXT(0, "class", &class, "CLASS", "only blades of this weight class"),
	OPT_INT(0, "count", &count, "N", 1, 1000000000, "at most N pairs"),
	OPT_TEXT(0, "mass", &mass, "RANGE", "blade and handle together, such as 1850g..1950g"),
	OPT_TEXT(0, "most-apart", &most_apart, "PCT", "the largest difference in moisture, such as 1% (the house file's)"),
	OPT_TEXT(0, "most-gap", &most_gap, "LENGTH", "the widest gap foretold, such as 0.1mm (the house file's)"),
	OPT_INT(0, "read-within", &read_within, "DAYS", 0, 36500, "use readings of these last days only (42, or two time constants)"),
	OPT_FLAG(0, "pairs", &only_pairs, "only the pairs"),
	OPT_FLAG(0, "left", &only_left, "only what is left over, and why"),
	OPT_FLAG(0, "make", &want_make, "print the pairs as lines for the book; needs --maker"),
	OPT_TEXT(0, "maker", &by, "WHO", "with --make: who makes the bats"),
	OPT_TEXT(0, "first", &first, "ID", "with --make: the id of the first bat (the next one)"),
	OPT_TEXT(0, "shop", &shop, "PLACE", "with --make: where they are made (the house's first shop)"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-pair",
	.purpose = "which handles go into which blades, and which do not and why",
	.usage = "[--blades=WHERE,...] [--handles=WHERE,...] [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("no pair can be made"),
	.example = "wy-pair -b --blades shop --handles shop,cane\nthe best pairs of what is in the shop, with handles from the cane room",
};

static struct bench_ask ask;

static void check_options(void)
{
	if (order && (type || grade || class || count != WANTED_ALL))
		tool_misused("--order says which blades and how many; leave out --type, --grade, --class and --count");
	if (only_pairs + only_left + want_make > 1)
		tool_misused("--pairs, --left and --make cannot be combined; choose one");
	if (want_make && tool.form >= 0)
		tool_misused("--make prints lines for the book, and --as has no form for them; leave --as out");
	if (want_make && !by)
		tool_misused("--make needs --maker=WHO: who makes the bats");
	if (!want_make && (by || first || shop))
		tool_misused("--maker, --first and --shop go with --make");
}

/* The words of a comma list, into an array that goes with the process. */
static void split(const char *text, const char *option, enum pair_part part)
{
	struct slice rest = slice_of(text), *word = mem_array(rest.n + 1, sizeof *word);
	size_t n = 0;

	for (bool more = text != NULL; more;) {
		size_t comma = slice_find(rest, ',');

		word[n] = slice_upto(rest, comma);
		if (!word[n++].n)
			tool_misused("--%s: an empty word; write places, lots and pieces with commas between", option);
		more = comma < rest.n;
		rest = slice_from(rest, comma + more);
	}
	ask.where[part] = word;
	ask.nwhere[part] = n;
}

/* ---- the house's words */

static struct book book;

static void check_word(const char *option, enum house_kind kind, const char *word)
{
	struct slice near;

	if (!word || !book.house || !house_has(book.house, kind) || house_index(book.house, kind, slice_of(word)) >= 0)
		return;
	near = house_near(book.house, kind, slice_of(word));
	if (near.n)
		tool_misused("--%s: the house file has no '%s'; perhaps %.*s?", option, word, (int)near.n, near.p);
	tool_misused("--%s: the house file has no '%s'", option, word);
}

static struct pair_limits find_limits(void)
{
	struct pair_limits limits = pair_limits_of(book.house);
	struct buf why = BUF_INIT;

	if (!pair_limits_ask(&limits, most_apart, most_gap, mass, &why))
		tool_misused("%s", buf_cstr(&why));
	buf_release(&why);
	return limits;
}

/* ---- the book */

static struct stock stock;
static struct readings readings;
static struct air_book air;
static struct wanted wanted;
static struct bench bench;
static struct pair_forecast forecast;
static struct pairing pairing;

static void take(void *context, const struct line *l)
{
	(void)context;
	if (order)
		pair_forecast_take(&forecast, l);
	air_book_take(&air, l);
	if (l->event->id == EVENT_AIR)
		return;
	readings_take(&readings, l);
	wanted_take(&wanted, l, ask.today);
	bench_take(&bench, l);
}

static void start_book(void)
{
	book_start(&book, 0);
	check_word("type", HOUSE_TYPE, type);
	check_word("grade", HOUSE_GRADE, grade);
	check_word("class", HOUSE_CLASS, class);
	check_word("by", HOUSE_PERSON, by);
	check_word("shop", HOUSE_PLACE, shop);
	ask.house = book.house;
	ask.today = book_today(&book);
	ask.read_within = read_within;
	book_stock_init(&book, &stock);
	readings_init(&readings, book.house, book.zone, (struct readings_want){ INT32_MIN, ask.today, true });
	air_book_init(&air, book.zone, NULL);
	wanted_init(&wanted, &stock);
	bench_init(&bench, &ask, &stock);
	pair_forecast_init(&forecast, book.house, &stock, ask.today);
}

static void flow(void *context, const struct stock_flow *f)
{
	wanted_flow(context, f);
	if (order)
		pair_forecast_flow(&forecast, f);
}

/* The instant at which the day of the answer ends. */
static int64_t end_of_day(void)
{
	struct stamp next = { ask.today + 1, 0, STAMP_NO_OFFSET };
	int64_t utc_s;

	book_instant(&book, &next, &utc_s);
	return utc_s;
}

static void choose_wanted(struct buf *why)
{
	if (!order)
		wanted_kind(&wanted, slice_of(type), slice_of(grade), slice_of(class), count);
	else if (!wanted_by_order(&wanted, slice_of(order), ask.today, why))
		tool_misused("%s", buf_cstr(why));
}

static int read_book(void)
{
	struct buf why = BUF_INIT;
	int status;

	start_book();
	status = book_stock_read(&book, &stock, ask.today, take, NULL);
	stock_run(&stock, ask.today, flow, &wanted);
	air_book_settle(&air);
	choose_wanted(&why);
	if (!bench_find(&bench, &readings, &air, &wanted, end_of_day(), &why))
		tool_misused("%s", buf_cstr(&why));
	if (readings.error)
		tool_fail("cannot hold the readings of moisture in a temporary file: %s", strerror(readings.error));
	buf_release(&why);
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

/* ---- the answer */

static void print_make(void)
{
	const struct pair_lines_ask lines = { slice_of(by), slice_of(shop), slice_of(first) };
	struct buf out = BUF_INIT, why = BUF_INIT;

	if (!pair_lines_write(&pairing, &lines, &out, &why))
		tool_misused("%s", buf_cstr(&why));
	if (!pairing.pairs)
		tool_warn("no pair can be made; --left says why");
	tool_put_buf(&out);
	buf_release(&out);
	buf_release(&why);
}

static void print_tables(void)
{
	struct table t[2];

	pair_view_pairs(&pairing, &t[0]);
	pair_view_left(&pairing, &t[1]);
	if (only_pairs || only_left)
		tool_print_table(&t[only_left]);
	else
		tool_print_tables((const struct table *const[]){ &t[0], &t[1] }, 2);
	table_release(&t[0]);
	table_release(&t[1]);
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	check_options();
	split(blades, "blades", PAIR_BLADE);
	split(handles, "handles", PAIR_HANDLE);
	status = read_book();
	if (!pairing_find(&pairing, &bench, find_limits(), pair_forecast_find(&forecast, &bench, wanted.order)))
		tool_fail("%zu rows of blades and %zu of handles are too many at once; choose with --blades, --handles, --type or --grade",
			bench.side[PAIR_BLADE].n, bench.side[PAIR_HANDLE].n);
	(want_make ? print_make : print_tables)();
	status = pairing.pairs ? status : TOOL_NO;
	pairing_release(&pairing);
	pair_forecast_release(&forecast);
	bench_release(&bench);
	wanted_release(&wanted);
	air_book_release(&air);
	readings_release(&readings);
	stock_release(&stock);
	return tool_finish(status);
}
