/* wy-stock - the stock on a day, and what the open orders need of it; wy-stock(1). */
#include <stdlib.h>

#include "cli/tool_book.h"
#include "stock/stock_audit.h"
#include "stock/stock_movement.h"
#include "stock/stock_view.h"
#include "supply/free_pieces.h"
#include "supply/order_fill.h"
#include "supply/under_way.h"

/* ---- options */

static const char *by_text;
static struct opt_day since_day = { .day = INT32_MIN };
static bool want_orders, want_audit, want_free;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEYS", "the rows: some of place, form, type, grade, class, lot, with commas (place,form,type,grade)"),
	OPT_FLAG(0, "orders", &want_orders, "the open orders, and the pieces that they can have"),
	OPT_FLAG(0, "free", &want_free, "what can be promised: the pieces that are there, promised and free, and what will come"),
	OPT_DAY(0, "since", &since_day, "by form and type, the pieces that came and went since that day"),
	OPT_FLAG(0, "audit", &want_audit, "by lot, the pieces that came in and where they went; both sides must be equal"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-stock",
	.purpose = "the stock on a day, and what the open orders need of it",
	.usage = "[--by KEYS] [options] [FILE...]\n--since DATE [options] [FILE...]\n--orders [options] [FILE...]\n--audit [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("nothing in stock"),
	.example = "wy-stock --on 2026-12-31 --by type,grade book.wy\nthe stock by type and grade at the end of the year",
};

static struct book book;
static struct stock stock;
static struct stock_ask ask;

static void choose(void)
{
	const char *other = want_orders ? "--orders" : want_audit ? "--audit" : since_day.text ? "--since" : NULL;

	if (want_orders + want_audit + (since_day.text != NULL) > 1)
		tool_misused("--orders, --audit and --since give different tables; give only one of them");
	if (by_text && other)
		tool_misused("--by cannot be used with %s; its rows are fixed", other);
	ask.nby = tool_words("--by", by_text ? by_text : "place,form,type,grade", stock_by_words, ask.by);
}

/* ---- the answers; each returns the status, and errors in the stock are reported before its table */

static int read_book(book_line *take, void *context)
{
	return book_stock_read(&book, &stock, INT32_MAX, take, context);
}

static int run(int status, stock_sink *sink, void *context)
{
	stock_run(&stock, ask.today, sink, context);
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

static int print(struct table *t, int status)
{
	bool any = table_rows(t) > 0;

	tool_print_table(t);
	table_release(t);
	return any ? status : TOOL_NO;
}

static int answer_stock(void)
{
	int status = run(read_book(NULL, NULL), NULL, NULL);
	struct table t;

	stock_view(&stock, &ask, &t);
	return print(&t, status);
}

static int answer_audit(void)
{
	int status = read_book(NULL, NULL);
	struct stock_audit audit;
	struct table t;

	stock_audit_init(&audit, &stock);
	status = run(status, stock_audit_flow, &audit);
	stock_audit_end(&audit);
	stock_audit_view(&audit, ask.today, &t);
	stock_audit_release(&audit);
	return print(&t, status);
}

static int answer_movement(int32_t since)
{
	struct stock_movement movement;
	struct table t;
	int status;

	stock_movement_init(&movement, &stock, since);
	status = run(read_book(NULL, NULL), stock_movement_flow, &movement);
	stock_movement_view(&movement, ask.today, &t);
	stock_movement_release(&movement);
	return print(&t, status);
}

static struct open_orders orders;
static struct under_way under_way;

static void take_order(void *context, const struct line *l)
{
	int64_t utc_s;

	(void)context;
	open_orders_add(&orders, l);
	book_instant(&book, &l->stamp, &utc_s);
	under_way_add(&under_way, l, utc_s);
}

static void order_flow(void *context, const struct stock_flow *flow)
{
	(void)context;
	open_orders_flow(&orders, flow);
	under_way_flow(&under_way, flow);
}

/* The orders with the pieces that they were given, and what is under way. */
static int read_orders(void)
{
	int status;

	open_orders_init(&orders, &stock, ask.today);
	under_way_init(&under_way, book.house, book.zone, &stock, ask.today);
	status = book_stock_read(&book, &stock, ask.today, take_order, NULL);
	under_way_begin(&under_way);
	status = run(status, order_flow, NULL);
	under_way_end(&under_way);
	open_orders_give(&orders);
	return status;
}

static void end_orders(void)
{
	under_way_release(&under_way);
	open_orders_release(&orders);
}

static int answer_orders(void)
{
	int status = read_orders();
	struct order_source *source = order_fill(&orders, &under_way);
	struct table t;

	open_orders_view(&orders, source, &t);
	free(source);
	end_orders();
	return print(&t, status);
}

static int answer_free(void)
{
	int status = read_orders();
	struct table t;

	free_pieces_view(&orders, &under_way, &t);
	end_orders();
	return print(&t, status);
}

int main(int argc, char **argv)
{
	int32_t since;
	int status;

	tool_start(&page, argc, argv);
	choose();
	book_start(&book, 0);
	book_stock_init(&book, &stock);
	ask.today = book_today(&book);
	since = book_since(&since_day, ask.today);
	if (want_free)
		status = answer_free();
	else if (want_orders)
		status = answer_orders();
	else if (want_audit)
		status = answer_audit();
	else
		status = since_day.text ? answer_movement(since) : answer_stock();
	stock_release(&stock);
	return tool_finish(status);
}
