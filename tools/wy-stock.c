/* wy-stock - the stock on a day, what the orders need of it, and how it came about; wy-stock(1). */
#include "cli/tool_stock_state.h"
#include "stock/stock_audit.h"
#include "stock/stock_changes.h"
#include "stock/stock_movement.h"
#include "supply/cover.h"
#include "supply/free_pieces.h"
#include "supply/order_fill.h"
#include "supply/stock_parts.h"
#include "supply/stock_takes.h"

/* ---- options */

static const char *by_text, *changes_of;
static struct opt_day since_day = { .day = INT32_MIN };
static bool want_rest, want_value, want_moisture;
static bool want_orders, want_free, want_cover, want_takes, want_audit;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEYS", "the rows: some of place, form, type, grade, class, lot, age, with commas (place,form,type,grade)"),
	OPT_FLAG(0, "rest", &want_rest, "also how many have not rested as long as the house file asks"),
	OPT_FLAG(0, "moisture", &want_moisture, "also the moisture as last read, and the EMC of the place's air"),
	OPT_FLAG(0, "value", &want_value, "also the value at cost"),
	OPT_FLAG(0, "orders", &want_orders, "the open orders, the pieces that they can have, and the charge that fills what is short"),
	OPT_FLAG(0, "free", &want_free, "what can be promised: the pieces that are there, promised and free, and what will come"),
	OPT_FLAG(0, "cover", &want_cover, "for how many weeks the stock lasts at the rate of use of the last 13 and 52 weeks"),
	OPT_FLAG(0, "tallies", &want_takes, "what stock-takes found, in pieces and money"),
	OPT_TEXT(0, "changes-of", &changes_of, "PIECES", "every change of such pieces with its line: place=store/r1,type=SH,grade=1"),
	OPT_DAY(0, "since", &since_day, "by form and type, the pieces that came and went since that day; of --tallies and --changes-of, only from that day on"),
	OPT_FLAG(0, "audit", &want_audit, "by lot, the pieces that came in and where they went; both sides must be equal"),
	OPT_PART(tool_answer_options),
	OPT_PART(tool_state_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-stock",
	.purpose = "the stock on a day, what the orders need of it, and how it came about",
	.usage = "[--by KEYS] [--rest] [--moisture] [--value] [options] [FILE...]\n--orders | --free | --cover | --audit [options] [FILE...]\n"
		"--tallies [--since DATE] [options] [FILE...]\n--changes-of PIECES [--since DATE] [options] [FILE...]\n--since DATE [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("nothing in stock, or nothing to show"),
	.example = "wy-stock --on 2026-12-31 --by type,grade book.wy\nthe stock by type and grade at the end of the year",
};

static struct book book;
static struct stock stock;
static struct stock_ask ask;
static struct stock_choice choice;
static int32_t since;
static struct table t;             /* the answer */

static void choose(void)
{
	const char *given[] = { want_orders ? "--orders" : NULL, want_free ? "--free" : NULL, want_cover ? "--cover" : NULL, want_takes ? "--tallies" : NULL,
		changes_of ? "--changes-of" : NULL, want_audit ? "--audit" : NULL, since_day.text && !want_takes && !changes_of ? "--since" : NULL };
	const char *other = tool_one_table(given, sizeof given / sizeof *given), *wrong = changes_of ? stock_choice_read(slice_of(changes_of), &choice) : NULL;

	if (wrong)
		tool_misused("--changes-of '%s' %s", changes_of, wrong);
	if (by_text && other)
		tool_misused("--by cannot be used with %s; its rows are fixed", other);
	if ((want_rest || want_value || want_moisture) && other)
		tool_misused("--rest, --moisture and --value cannot be used with %s; leave them out", other);
	tool_state_check();
	ask.nby = tool_words("--by", by_text ? by_text : "place,form,type,grade", stock_by_words, ask.by);
	if ((tool_state.partial || tool_state.merge) && (other || want_rest || want_value || want_moisture || stock_ask_has(&ask, STOCK_BY_AGE)))
		tool_misused("--partial and --merge are for the pieces that are there; leave out %s", other ? other : "--rest, --moisture, --value and the key age");
}

/* ---- the answers; each returns the status, and errors in the stock are reported before its table */

static int read_book(book_line *take, void *context)
{
	return book_stock_read(&book, &stock, take ? ask.today : INT32_MAX, take, context);
}

static int run(int status, stock_sink *sink, void *context)
{
	stock_run(&stock, ask.today, sink, context);
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

static struct stock_parts parts;

static void take_part(void *context, const struct line *l)
{
	(void)context;
	stock_parts_add(&parts, l);
}

/* Reads the book for `want`; false, and an error, where a price lacks a rate, so that there is no value. */
static bool read_parts(unsigned want, int *status)
{
	struct buf wrong = BUF_INIT;

	stock_parts_init(&parts, book.house, book.zone, &stock, ask.today, want);
	*status = read_book(take_part, NULL);
	stock_parts_read(&parts);
	if (want & PARTS_VALUE)
		cost_book_say_all_wrong(&parts.costing.book, book.path, &wrong);
	return !tool_tell_errors(&wrong);
}

/* With what only the rooms of money, readings and air know. */
static int answer_parts(unsigned want)
{
	int status;

	if (!read_parts(want, &status))
		return TOOL_NO;
	status = run(status, stock_parts_flow, &parts);
	stock_parts_end(&parts);
	if (want & PARTS_MOISTURE && parts.readings.error)
		tool_fail("cannot hold the readings of moisture in a temporary file: %s", strerror(parts.readings.error));
	ask.facts = &parts.facts;
	stock_view(&stock, &ask, &t);
	stock_parts_release(&parts);
	return tool_end_table(&t, status);
}

static int answer_stock(void)
{
	unsigned want = (want_rest ? PARTS_REST : 0) | (want_value ? PARTS_VALUE : 0) | (want_moisture ? PARTS_MOISTURE : 0);
	int status;

	if (want || stock_ask_has(&ask, STOCK_BY_AGE))
		return answer_parts(want);
	status = tool_state.partial || tool_state.merge ? tool_stock_state(&book, &stock, ask.today) : run(read_book(NULL, NULL), NULL, NULL);
	if (tool_state.partial)
		return status;
	stock_view(&stock, &ask, &t);
	return tool_end_table(&t, status);
}

static int answer_audit(void)
{
	int status = read_book(NULL, NULL);
	struct stock_audit audit;

	stock_audit_init(&audit, &stock);
	status = run(status, stock_audit_flow, &audit);
	stock_audit_end(&audit);
	stock_audit_view(&audit, ask.today, &t);
	stock_audit_release(&audit);
	return tool_end_table(&t, status);
}

static int answer_movement(void)
{
	struct stock_movement movement;
	int status;

	stock_movement_init(&movement, &stock, since);
	status = run(read_book(NULL, NULL), stock_movement_flow, &movement);
	stock_movement_view(&movement, ask.today, &t);
	stock_movement_release(&movement);
	return tool_end_table(&t, status);
}

static int answer_changes(void)
{
	struct stock_changes changes;
	int status;

	stock_changes_init(&changes, &stock, &choice, since);
	status = run(read_book(NULL, NULL), stock_changes_flow, &changes);
	stock_changes_end(&changes);
	stock_changes_view(&changes, ask.today, book.path, &t);
	stock_changes_release(&changes);
	return tool_end_table(&t, status);
}

static int answer_cover(void)
{
	int status = read_book(NULL, NULL);
	struct cover cover;

	cover_init(&cover, &stock, ask.today);
	status = run(status, cover_flow, &cover);
	cover_view(&cover, &t);
	cover_release(&cover);
	return tool_end_table(&t, status);
}

/* No row is an answer too, where something was counted. */
static int answer_takes(void)
{
	struct stock_takes takes;
	int status;

	if (!read_parts(PARTS_VALUE, &status))
		return TOOL_NO;
	stock_takes_init(&takes, &stock, &parts.costing, since);
	status = run(status, stock_takes_flow, &takes);
	stock_takes_end(&takes);
	status = stock_takes_view(&takes, ask.today, book.path, &t) ? status : TOOL_NO;
	tool_print_table(&t);
	table_release(&t);
	stock_takes_release(&takes);
	stock_parts_release(&parts);
	return status;
}

static struct order_supply supply;

static void take_order(void *context, const struct line *l)
{
	int64_t utc_s;

	(void)context;
	book_instant(&book, &l->stamp, &utc_s);
	order_supply_add(&supply, l, utc_s);
}

/* A forecast is only made if something is short, or for --free. */
static int answer_orders(void)
{
	int status;

	order_supply_init(&supply, book.house, book.zone, &stock, ask.today);
	status = read_book(take_order, NULL);
	order_supply_begin(&supply);
	status = run(status, order_supply_flow, &supply);
	order_supply_end(&supply);
	if (want_free)
		free_pieces_view(&supply, &t);
	else
		order_supply_view(&supply, &t);
	order_supply_release(&supply);
	return tool_end_table(&t, status);
}

static int answer(void)
{
	return want_orders || want_free ? answer_orders() : want_cover ? answer_cover() : want_takes ? answer_takes() : changes_of ? answer_changes() :
		want_audit ? answer_audit() : since_day.text ? answer_movement() : answer_stock();
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose();
	book_stock_start(&book, &stock, &since_day, &ask.today, &since);
	status = answer();
	stock_release(&stock);
	return tool_finish(status);
}
