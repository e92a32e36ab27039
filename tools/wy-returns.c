/* wy-returns - how many bats came back, of how many, and in what they differ; wy-returns(1). */
#include <string.h>

#include "cli/tool_book.h"
#include "moist/moist_ask.h"
#include "returns/return_differences.h"
#include "returns/returns_view.h"

/* ---- options */

static int by = -1;
static bool want_bats;
static const char *cause, *fdr_text;
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX };

static struct return_ask ask = { .fdr = 0.05 };

static const struct opt options[] = {
	{ .kind = OPT_IS_WORD, .name = "by", .value = "KEY", .words = return_by_words, .to = { .word = &by },
	  .help = "the rates by one key:\ncause, handle, charge, lot, parcel, supplier, type,\ngrade, season, month, customer, driest or stored" },
	OPT_FLAG(0, "bats", &want_bats, "a row for each bat that was sold, with all that is compared"),
	OPT_TEXT(0, "cause", &cause, "CAUSE", "only returns for this cause count as returns"),
	OPT_DAY(0, "from", &from_day, "only bats sold on this day or later"),
	OPT_DAY(0, "to", &to_day, "only bats sold on this day or before"),
	OPT_TEXT(0, "fdr", &fdr_text, "PERCENT", "the rate of false discoveries to accept (5%)"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-returns",
	.purpose = "how many bats came back, of how many, and in what they differ",
	.usage = "[--by=KEY | --bats] [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("no bat was sold"),
	.example = "wy-returns -b --by handle\nthe rate of returns of each handle lot, with its interval",
};

static void choose(void)
{
	if (by >= 0 && want_bats)
		tool_misused("--by and --bats cannot be combined; choose one");
	if (fdr_text && moist_ask_share(slice_of(fdr_text), &ask.fdr) != MOIST_SHARE_OK)
		tool_misused("--fdr '%s' is not a proportion between 0 and 100 %%; write it as 5%%", fdr_text);
	ask.cause = cause;
	book_period(&from_day, &to_day, &ask.from, &ask.to);
}

/* ---- the book */

static struct book book;
static struct stock stock;
static struct trace trace;
static struct bat_lives lives;

static void take(void *context, const struct line *l)
{
	bat_lives_take(context, l);
}

/* A cause that the house does not have is a slip of the pen. */
static void check_cause(void)
{
	struct slice near;

	if (!cause || !book.house || !house_has(book.house, HOUSE_RETURN) || house_index(book.house, HOUSE_RETURN, slice_of(cause)) >= 0)
		return;
	near = house_near(book.house, HOUSE_RETURN, slice_of(cause));
	tool_misused(near.n ? "'%s' is not a cause of returns in the house file; perhaps %.*s?" : "'%s' is not a cause of returns in the house file; see causes: there%.*s",
		cause, (int)near.n, near.p);
}

static int read_book(void)
{
	int status;

	book_start(&book, 0);
	check_cause();
	book_stock_init(&book, &stock);
	trace_init(&trace, book.house, book.zone, &stock, book_today(&book));
	bat_lives_init(&lives, &trace);
	ask.house = book.house;
	status = book_stock_read(&book, &stock, trace.today, take, &lives);
	trace_end(&trace);
	bat_lives_find(&lives);
	if (trace.readings.error)
		tool_fail("cannot hold the readings of moisture in a temporary file: %s", strerror(trace.readings.error));
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

/* ---- the answers; each returns whether a bat was sold */

static bool print_bats(void)
{
	struct table t;
	bool any;

	returns_view_bats(&lives, &ask, &t);
	any = table_rows(&t) > 0;
	tool_print_table(&t);
	table_release(&t);
	return any;
}

static bool print_rates(void)
{
	struct return_rates rates;
	struct table t;
	bool any;

	return_rates_find(&rates, &lives, &ask, (enum return_by)by);
	any = rates.all.bats > 0;
	returns_view_rates(&rates, &lives, &ask, &t);
	tool_print_table(&t);
	table_release(&t);
	return_rates_release(&rates);
	return any;
}

static bool print_both(void)
{
	struct return_rates rates;
	struct return_differences differences;
	struct table t[2];
	bool any;

	return_rates_find(&rates, &lives, &ask, RETURN_BY_CAUSE);
	return_differences_find(&differences, &lives, &ask);
	any = rates.all.bats > 0;
	returns_view_rates(&rates, &lives, &ask, &t[0]);
	returns_view_differences(&differences, &ask, tool_form() == TABLE_AS_TEXT && !tool.all_columns, &t[1]);
	tool_print_tables((const struct table *const[]){ &t[0], &t[1] }, 2);
	table_release(&t[0]);
	table_release(&t[1]);
	return_differences_release(&differences);
	return_rates_release(&rates);
	return any;
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose();
	status = read_book();
	if (!(want_bats ? print_bats() : by >= 0 ? print_rates() : print_both()))
		status = TOOL_NO;
	bat_lives_release(&lives);
	trace_release(&trace);
	stock_release(&stock);
	return tool_finish(status);
}
