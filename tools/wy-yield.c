/* wy-yield - from tree to customer, step by step: counts, culls and their causes, days; wy-yield(1). */
#include "cli/tool_book.h"
#include "yield/yield_rows.h"
#include "yield/yield_view.h"

/* ---- options */

static const char *by_text;
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX }, since_day = { .day = INT32_MIN };
static bool want_losses, want_handles;
static int step = -1;

static struct yield_ask ask;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEYS", "the rows: some of tree, parcel, supplier, lot, charge, type, month (in which the lot came in), with commas"),
	OPT_FLAG(0, "losses", &want_losses, "the pieces culled, by step and cause"),
	OPT_WORD(0, "step", &step, yield_step_words, "only the rows of this step; all: of all steps together"),
	OPT_FLAG(0, "through", &ask.through, "for reading: the interval of the proportion that gets through all steps so far"),
	OPT_FLAG(0, "days", &ask.days, "for reading: how many days each step took"),
	OPT_FLAG(0, "handles", &want_handles, "the steps of the handles instead of the wood"),
	OPT_FLAG(0, "apportion", &ask.apportion, "divide a pool's pieces among its lots and trees"),
	OPT_DAY(0, "from", &from_day, "only lots that came in on this day or later"),
	OPT_DAY(0, "to", &to_day, "only lots that came in on this day or before"),
	OPT_DAY(0, "since", &since_day, "only events from that day on; the column start has the pieces there before"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-yield",
	.purpose = "from tree to customer, step by step: counts, culls, days",
	.usage = "[--by KEYS] [options] [FILE...]\n--losses [--by KEYS] [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("nothing to show"),
	.example = "wy-yield --by supplier --losses book.wy\nthe pieces culled of each supplier, by step and cause",
};

static void choose(void)
{
	ask.nby = tool_words("--by", by_text, yield_by_words, ask.by);
	book_period(&from_day, &to_day, &ask.from, &ask.to);
	ask.step = (uint32_t)(step + 1);
	if (want_losses && ask.through)
		tool_misused("--losses and --through cannot be used together; leave one out");
}

/* ---- the answer */

static struct book book;
static struct stock stock;
static struct provenance origins;
static struct stages stages;

static int run_stages(int status)
{
	stages_init(&stages, &stock, book.house);
	stages.handles = want_handles;
	stages.heaps.apportion = ask.apportion;
	stages.from = ask.since;
	yield_rows_prepare(&ask, &stages);
	stock_run(&stock, ask.today, stages_flow, &stages);
	stages_end(&stages);
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

/* Whether there was a row. */
static bool print(void)
{
	struct yield_rows rows;
	struct table t;
	bool any;

	yield_rows_init(&rows, &ask, &stages, &origins);
	if (want_losses)
		yield_view_losses(&rows, &t);
	else
		yield_view(&rows, &t);
	yield_rows_release(&rows);
	any = table_rows(&t) > 0;
	tool_print_table(&t);
	table_release(&t);
	return any;
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose();
	book_start(&book, 0);
	book_stock_init(&book, &stock);
	ask.today = book_today(&book);
	ask.since = book_since(&since_day, ask.today);
	/* Not even a later `load` counts, which would make its place a charge. */
	status = run_stages(book_origins_read(&book, &stock, ask.today, &origins));
	if (!print())
		status = TOOL_NO;
	stages_release(&stages);
	provenance_release(&origins);
	stock_release(&stock);
	return tool_finish(status);
}
