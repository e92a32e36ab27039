/* wy-grade - the grades that blades got: counts, and proportions with their intervals; wy-grade(1). */
#include "cli/tool_book.h"
#include "grades/grade_mix.h"
#include "grades/grade_view.h"

/* ---- options */

static const char *by_text = "";
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX };
static int64_t baseline_months;

static struct grade_ask ask;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEY,...", "the rows: some of tree, parcel, supplier, charge, lot, type, grader, month; with --regrades also was"),
	OPT_DAY(0, "from", &from_day, "only blades graded on this day or later"),
	OPT_DAY(0, "to", &to_day, "only blades graded on this day or before; later lines do not count"),
	OPT_INT(0, "baseline", &baseline_months, "MONTHS", 1, 1200, "also the shares in that many months before --from"),
	OPT_FLAG(0, "regrades", &ask.regrades, "only blades that were graded again; `--by was` is their grade before"),
	OPT_FLAG(0, "wide", &ask.wide, "a column of shares for each grade, not a row"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-grade",
	.purpose = "the grades that blades got, with the interval of each share",
	.usage = "[--by KEY,...] [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("nothing was graded"),
	.example = "wy-grade --by supplier --wide book.wy\nthe proportion of each grade in each supplier's wood",
};

static void choose_keys(void)
{
	ask.nby = tool_words("--by", by_text, grade_by_words, ask.by);
	for (size_t i = 0; i < ask.nby; i++)
		if (ask.by[i] == GRADE_BY_WAS && !ask.regrades)
			tool_misused("--by was needs --regrades: a first grade has no grade before it");
		else if (ask.by[i] == GRADE_BY_MONTH && baseline_months)
			tool_misused("--by month and --baseline cannot be used together; leave one out");
}

static void choose_days(void)
{
	book_period(&from_day, &to_day, &ask.from, &ask.to);
	if (baseline_months && !from_day.text)
		tool_misused("--baseline needs --from: the months end before that day");
	ask.has_baseline = baseline_months > 0;
	ask.baseline = ask.has_baseline ? day_months_before(ask.from, baseline_months) : ask.from;
}

/* ---- the answer */

static struct book book;
static struct stock stock;
static struct provenance origins;
static struct grade_mix mix;

static int run_mix(int status)
{
	grade_mix_init(&mix, &ask, &stock, &origins);
	stock_run(&stock, ask.to, grade_mix_flow, &mix);
	return book_stock_tell(&book, &stock) ? TOOL_NO : status;
}

static void print(void)
{
	struct table t;

	grade_view(&mix, book.house, &t);
	tool_print_table(&t);
	table_release(&t);
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose_keys();
	choose_days();
	book_start(&book, 0);
	book_stock_init(&book, &stock);
	status = run_mix(book_origins_read(&book, &stock, INT32_MAX, &origins));
	print();
	if (!grade_mix_groups(&mix))
		status = TOOL_NO;
	grade_mix_release(&mix);
	provenance_release(&origins);
	stock_release(&stock);
	return tool_finish(status);
}
