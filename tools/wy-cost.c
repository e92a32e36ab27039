/* wy-cost - what a usable blade cost, and what the stock is worth; wy-cost(1). */
#include "cli/tool_book.h"
#include "cost/charge_costs.h"
#include "cost/cost_view.h"
#include "cost/costing.h"
#include "dry/charge_stock.h"
#include "dry/charges.h"
#include "dry/points_removed.h"
#include "house/house_open.h"

/* ---- options */

static const char *by_text, *lines_of;
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX }, since_day = { .day = INT32_MIN };
static bool want_stock, want_kinds, want_charges, want_origins;
static int method;

static const char *const method_words[] = { "fifo", "mean", NULL };

static struct cost_ask ask;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &by_text, "KEYS", "the rows: some of tree, parcel, supplier, lot, charge, month, type, grade, stage, form, place, with commas"),
	OPT_FLAG(0, "stock", &want_stock, "the value of the stock on the day, by stage of the work"),
	OPT_DAY(0, "since", &since_day, "the account of the stock since that day: opening, in, out, lost, closing"),
	OPT_FLAG(0, "kinds", &want_kinds, "by kind of cost, what was spent and where it is now"),
	OPT_FLAG(0, "charges", &want_charges, "by charge, the days, the load, and cost and energy of a piece and of a point of moisture"),
	OPT_TEXT(0, "lines-of", &lines_of, "ID", "the lines of the book that made the cost of a tree, parcel, supplier, lot, charge, place, bat or order"),
	OPT_WORD(0, "method", &method, method_words, "how pieces are valued that leave a batch: first-in, first-out (fifo), or by the weighted mean"),
	OPT_FLAG(0, "by-sales", &ask.by_sales, "divide joint costs by what each grade was sold for, not by the house's worth"),
	OPT_DAY(0, "from", &from_day, "only blades that were graded on this day or later"),
	OPT_DAY(0, "to", &to_day, "only blades that were graded on this day or before"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-cost",
	.purpose = "what a usable blade cost, and what the stock is worth",
	.usage = "[--by KEYS] [options] [FILE...]\n--stock [--by KEYS] [options] [FILE...]\n--since DATE [options] [FILE...]\n"
		"--kinds [options] [FILE...]\n--charges [options] [FILE...]\n--lines-of ID [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("nothing to show, a rate is missing"),
	.example = "wy-cost --by supplier,grade book.wy\nthe cost of a usable blade by supplier and grade",
};

static void choose(void)
{
	const char *given[] = { want_stock ? "--stock" : NULL, want_kinds ? "--kinds" : NULL, want_charges ? "--charges" : NULL,
		lines_of ? "--lines-of" : NULL, since_day.text ? "--since" : NULL };
	const char *other = tool_one_table(given, sizeof given / sizeof *given);

	if (by_text && other && !want_stock)
		tool_misused("--by cannot be used with %s; its rows are fixed", other);
	if ((from_day.text || to_day.text) && other)
		tool_misused("--from and --to choose blades and cannot be used with %s", other);
	ask.nby = tool_words("--by", by_text ? by_text : want_stock ? "stage" : "", cost_by_words, ask.by);
	book_period(&from_day, &to_day, &ask.from, &ask.to);
	want_origins = lines_of != NULL;
	for (size_t i = 0; i < ask.nby; i++)
		want_origins |= ask.by[i] == COST_BY_TREE || ask.by[i] == COST_BY_PARCEL || ask.by[i] == COST_BY_SUPPLIER || ask.by[i] == COST_BY_LOT;
	ask.mean = method == 1;
	ask.lines = lines_of || want_charges;
}

/* ---- the answer */

static struct book book;
static struct stock stock;
static struct provenance origins;
static struct costing costing;
static struct house *no_house;     /* an empty one, where there is none */
static struct charges drying;      /* with --charges: what the probes read */
static struct charge_costs charge_costs;
static struct charge_stock held;

static void take_line(void *context, const struct line *l)
{
	int64_t utc_s;

	(void)context;
	if (want_origins)
		provenance_add(&origins, l);
	costing_add(&costing, l);
	if (!want_charges)
		return;
	book_instant(&book, &l->stamp, &utc_s);
	charges_add(&drying, l, utc_s);
}

static void take_flow(void *context, const struct stock_flow *flow)
{
	costing_flow(context, flow);
	if (!want_charges)
		return;
	charge_costs_flow(&charge_costs, flow);
	charge_stock_flow(&held, flow);
}

static void take_points(const struct dry_case *c)
{
	struct points_removed r = points_removed_of(c);

	charge_costs_points(&charge_costs, intern_find(&stock.ids, c->id), r.mean, r.half, r.above);
}

static void run(void)
{
	if (want_charges) {
		charge_costs_init(&charge_costs, &costing.book, stock.ids.n);
		charge_stock_init(&held, &drying, &stock);
	}
	stock_run(&stock, ask.today, take_flow, &costing);
	costing_end(&costing, &origins);
	if (!want_charges)
		return;
	charge_stock_end(&held);
	for (size_t i = 0; i < drying.n; i++)
		take_points(&drying.cases[i]);
}

static void view(struct table *t)
{
	if (want_stock)
		cost_view_stock(&costing, t);
	else if (since_day.text)
		cost_view_account(&costing, t);
	else if (want_kinds)
		cost_view_kinds(&costing, t);
	else if (want_charges)
		cost_view_charges(&costing, &charge_costs, t);
	else if (lines_of)
		cost_view_lines(&costing, slice_of(lines_of), book.path, t);
	else
		cost_view_blades(&costing, t);
}

static int answer(int status)
{
	struct buf wrong = BUF_INIT;
	struct table t;

	costing_read(&costing);
	cost_book_say_all_wrong(&costing.book, book.path, &wrong);
	if (tool_tell_errors(&wrong))
		return TOOL_NO;
	run();
	if (book_stock_tell(&book, &stock))
		status = TOOL_NO;
	view(&t);
	return tool_end_table(&t, status);
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose();
	book_stock_start(&book, &stock, &since_day, &ask.today, &ask.since);
	provenance_init(&origins, &stock.ids);
	costing_init(&costing, &ask, book.house, &stock);
	if (want_charges && !book.house)
		no_house = house_read(SLICE(""), NULL, NULL);
	if (want_charges)
		charges_init(&drying, book.house ? book.house : no_house, book.zone);
	status = book_stock_read(&book, &stock, ask.today, take_line, NULL);
	provenance_end(&origins);
	status = answer(status);
	if (want_charges) {
		charge_costs_release(&charge_costs);
		charges_release(&drying);
	}
	house_free(no_house);
	costing_release(&costing);
	provenance_release(&origins);
	stock_release(&stock);
	return tool_finish(status);
}
