/* wy-yield - from tree to customer, step by step: counts, culls and their causes, days; wy-yield(1). */
#include "cli/tool_book.h"
#include "cost/costing.h"
#include "yield/loss_log.h"
#include "yield/yield_baseline.h"
#include "yield/yield_rows.h"
#include "yield/yield_view.h"

/* ---- options */

static const char *by_text;
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX }, since_day = { .day = INT32_MIN };
static bool want_losses, want_handles;
static int step = -1;

static struct yield_ask ask;
static int rank;

static const char *const rank_words[] = { "pieces", "money", NULL };

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEYS", "the rows: some of tree, parcel, supplier, lot, charge, type, month (in which the lot came in), with commas"),
	OPT_FLAG(0, "losses", &want_losses, "the pieces culled and the cost on them, by step and cause"),
	OPT_WORD(0, "rank", &rank, rank_words, "which losses come first: those of most pieces or of most money"),
	OPT_INT(0, "baseline", &ask.baseline, "MONTHS", 1, 1200, "with --losses and --since: against that many months before"),
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
	.purpose = "from tree to customer, step by step: counts, culls, days, losses",
	.usage = "[--by KEYS] [options] [FILE...]\n--losses [--by KEYS] [options] [FILE...]\n--losses --since DATE --baseline MONTHS [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("nothing to show"),
	.example = "wy-yield --by supplier --losses book.wy\nthe pieces culled of each supplier, by step and cause",
};

static void choose(void)
{
	ask.nby = tool_words("--by", by_text, yield_by_words, ask.by);
	book_period(&from_day, &to_day, &ask.from, &ask.to);
	ask.step = (uint32_t)(step + 1);
	ask.by_money = rank == 1;
	if (want_losses && (ask.through || ask.days))
		tool_misused("--losses and %s cannot be used together; leave one out", ask.days ? "--days" : "--through");
	if (ask.through && ask.days)
		tool_misused("--through and --days cannot be used together; leave one out");
	if ((ask.baseline || ask.by_money) && !want_losses)
		tool_misused("%s needs --losses", ask.baseline ? "--baseline" : "--rank");
	if (ask.baseline && !since_day.text)
		tool_misused("--baseline needs --since: the months end before that day");
	if (ask.baseline && step >= 0 && step + 1 == YIELD_ALL_STEPS + 1)
		tool_misused("--baseline compares single steps; leave --step out or name one");
}

/* ---- the answer */

static struct book book;
static struct stock stock;
static struct provenance origins;
static struct stages stages;
static struct costing costing;     /* with --losses */
static struct cost_ask cost_ask;
static struct loss_log losses;

static void take_line(void *context, const struct line *l)
{
	(void)context;
	if (yield_needs_origins(&ask))
		provenance_add(&origins, l);
	if (want_losses)
		costing_add(&costing, l);
}

/* The costs of what was lost; false: a price cannot be converted, so that there are none. */
static bool start_costing(void)
{
	if (!want_losses)
		return false;
	costing_read(&costing);
	return !costing.book.nwrong;
}

static int run_stages(int status)
{
	stages_init(&stages, &stock, book.house);
	stages.handles = want_handles;
	stages.heaps.apportion = ask.apportion;
	yield_rows_prepare(&ask, &stages);
	loss_log_init(&losses, &stages, start_costing() ? &costing : NULL);
	stock_run(&stock, ask.today, want_losses ? loss_log_flow : stages_flow, want_losses ? (void *)&losses : &stages);
	stages_end(&stages);
	if (losses.costing)
		costing_end(&costing, &origins);
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

static void view(const struct yield_rows *rows, struct table *t)
{
	struct yield_baseline baseline;

	if (!want_losses) {
		yield_view(rows, t);
		return;
	}
	if (!ask.baseline) {
		yield_view_losses(rows, &losses, t);
	} else {
		yield_baseline_init(&baseline, rows, &losses);
		yield_view_baseline(&baseline, &losses, t);
		yield_baseline_release(&baseline);
	}
	if (!losses.costing)
		table_note(t, SLICE("the cost is left out: a price has no rate of exchange; wy-cost(1) names its line"));
}

/* Whether there was a row. */
static bool print(void)
{
	struct yield_rows rows;
	struct table t;
	bool any;

	yield_rows_init(&rows, &ask, &stages, &origins);
	view(&rows, &t);
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
	book_stock_start(&book, &stock, &since_day, &ask.today, &ask.since);
	cost_ask = (struct cost_ask){ .today = ask.today, .since = INT32_MIN, .from = INT32_MIN, .to = INT32_MAX };
	provenance_init(&origins, &stock.ids);
	costing_init(&costing, &cost_ask, book.house, &stock);
	/* Not even a later `load` counts, which would make its place a charge. */
	status = book_stock_read(&book, &stock, ask.today, take_line, NULL);
	provenance_end(&origins);
	status = run_stages(status);
	if (!print())
		status = TOOL_NO;
	loss_log_release(&losses);
	stages_release(&stages);
	costing_release(&costing);
	provenance_release(&origins);
	stock_release(&stock);
	return tool_finish(status);
}
