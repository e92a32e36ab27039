/* wy-weigh - what a bat will weigh, from what its blank weighs; wy-weigh(1). */
#include <math.h>

#include "cli/tool_book.h"
#include "weigh/line_checks.h"
#include "weigh/mass_bins.h"
#include "weigh/scale_drift.h"
#include "weigh/weigh_view.h"
#include "weigh/weigh_wanted.h"

/* ---- options */

static int by;
static const char *range_text, *order_text, *type_text, *grade_text, *class_text, *shape_text, *mc_text, *bin_text;
static bool want_stock, want_residuals, want_pairs, want_scales, want_histogram, as_weighed;

static const struct opt options[] = {
	OPT_TEXT(0, "mass", &range_text, "RANGE", "the blades in stock for bats of that mass, best first (2lb8oz..2lb10oz, ..1200g, 2lb9oz)"),
	OPT_TEXT(0, "order", &order_text, "ID", "the same for an order: its mass, types and grades"),
	OPT_FLAG(0, "stock", &want_stock, "all weighed blades in stock, and what each will weigh"),
	OPT_FLAG(0, "residuals", &want_residuals, "whether the bats keep to the lines"),
	OPT_FLAG(0, "pairs", &want_pairs, "a row for each pair of a blank and its bat"),
	OPT_FLAG(0, "scales", &want_scales, "the drift of the balances, from their check weights"),
	OPT_FLAG(0, "histogram", &want_histogram, "how many finished bats weigh how much"),
	OPT_TEXT(0, "bin", &bin_text, "MASS", "the step of the histogram (1oz, or 25g)"),
	{ .kind = OPT_IS_WORD, .name = "by", .words = mass_key_words, .to = { .word = &by }, .help = "what may have lines of its own (type)" },
	OPT_TEXT(0, "type", &type_text, "TYPE", "only blades of this type"),
	OPT_TEXT(0, "grade", &grade_text, "GRADE", "only blades of this grade"),
	OPT_TEXT(0, "class", &class_text, "CLASS", "only blades of this weight class"),
	OPT_TEXT(0, "shape", &shape_text, "SHAPE", "the shape that they will have, with --by shape"),
	OPT_FLAG(0, "as-weighed", &as_weighed, "masses as they were written, without the drift of the balance"),
	OPT_TEXT(0, "mc", &mc_text, "MOISTURE", "the moisture at which blanks are compared (that of the house's rule of ready wood)"),
	OPT_PART(tool_answer_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-weigh",
	.purpose = "what a bat will weigh, from what its blank weighs",
	.usage = "[--by=KEY] [options] [FILE...]\n--mass=RANGE | --order=ID [options] [FILE...]\n"
		"--stock | --residuals | --pairs | --scales | --histogram [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("nothing to show"),
	.example = "wy-weigh -b --mass 2lb8oz..2lb10oz --type SH --grade 1\nthe blades for such bats, those with the best chance first",
};

/* ---- what is read */

static struct book book;
static struct stock stock;
static struct weigh_parts parts;

static struct order_item item = { .type = STOCK_ANY, .grade = STOCK_ANY, .class = STOCK_ANY };
static struct weigh_ask ask = { .low = INT64_MIN, .high = INT64_MAX, .sure = 0.9 };
static struct weigh_view view;
static double issue_pct = NAN, bin_g;

static struct value value_of(const char *option, const char *text, int type, unsigned shape, const char *example)
{
	struct value v;

	if (value_read(type, shape, slice_of(text), &v) != VALUE_OK)
		tool_misused("%s '%s' is not valid; write it as %s", option, text, example);
	return v;
}

static void choose(void)
{
	int modes = (range_text != NULL) + (order_text != NULL) + want_stock + want_residuals + want_pairs + want_scales + want_histogram;
	struct value v;

	if (modes > 1)
		tool_misused("--mass, --order, --stock, --residuals, --pairs, --scales and --histogram give different tables; give one of them");
	if (bin_text && !want_histogram)
		tool_misused("--bin is the step of --histogram; give that too");
	if (range_text) {
		v = value_of("--mass", range_text, TYPE_MASS, USE_RANGE, "2lb8oz..2lb10oz");
		ask.low = v.fix;
		ask.high = v.high;
	}
	if (mc_text)
		issue_pct = (double)value_of("--mc", mc_text, TYPE_MOISTURE, 0, "9%").fix / VALUE_STEPS;
	if (bin_text) {
		v = value_of("--bin", bin_text, TYPE_MASS, 0, "1oz");
		if (v.fix < 1000)
			tool_misused("--bin '%s' is too small; write it as 1oz", bin_text);
		bin_g = mass_bins_step_g(v.fix, v.unit == UNIT_MASS_OZ || v.unit == UNIT_MASS_LB);
	}
}

/* A word that the house does not have is a slip of the pen. */
static void check_word(const char *option, const char *text, enum house_kind kind)
{
	struct slice near;

	if (!text || !book.house || !house_has(book.house, kind) || house_index(book.house, kind, slice_of(text)) >= 0)
		return;
	near = house_near(book.house, kind, slice_of(text));
	tool_misused(near.n ? "%s '%s' is not in the house file; perhaps %.*s?" : "%s '%s' is not in the house file%.*s", option, text, (int)near.n, near.p);
}

static uint32_t id_of(const char *text)
{
	return text ? intern_id(&stock.ids, slice_of(text)) : STOCK_ANY;
}

static void set_order(void)
{
	enum weigh_order found = weigh_ask_order(&ask, &parts, slice_of(order_text), &view.wanted);
	struct buf day = BUF_INIT;

	day_write(&day, view.today);
	if (found == WEIGH_ORDER_UNKNOWN)
		tool_fail("the book has no order '%s' by %s; check the ID and --on", order_text, buf_cstr(&day));
	if (found == WEIGH_ORDER_NO_MASS)
		tool_fail("order %s does not ask for a mass; add mass= to it, or use --mass", order_text);
	view.order = order_text;
	buf_release(&day);
}

/* What is asked for, in the book's ids, once it is read. */
static void set_ask(void)
{
	item.type = id_of(type_text);
	item.grade = id_of(grade_text);
	item.class = id_of(class_text);
	ask.item = &item;
	ask.nitems = 1;
	ask.shape = shape_text ? id_of(shape_text) : 0;
	if (order_text)
		set_order();
}

static int read_book(void)
{
	int status;

	book_stock_init(&book, &stock);
	view = (struct weigh_view){ .house = book.house, .stock = &stock, .today = book_today(&book), .sure = 0.9,
		.brief = tool_form() == TABLE_AS_TEXT && !tool.all_columns, .ranged = range_text || order_text };
	weigh_parts_init(&parts, book.house, &stock, view.today);
	parts.as_weighed = as_weighed;
	status = book_stock_read(&book, &stock, view.today, weigh_parts_take, &parts);
	weigh_parts_run(&parts);
	status = book_stock_tell(&book, &stock) ? TOOL_NO : status;
	set_ask();
	weigh_parts_fit(&parts, issue_pct, (enum mass_key)by, type_text && by != MASS_BY_TYPE ? item.type : 0);
	return status;
}

/* ---- the answers; each returns whether there was something to show */

static bool print(struct table *t)
{
	bool any = table_rows(t) > 0;

	tool_print_table(t);
	table_release(t);
	return any;
}

static bool print_pieces(void)
{
	struct wanted w;
	struct table t[2];
	bool any;

	weigh_wanted_find(&w, &parts, &ask);
	any = w.npieces || (view.ranged && w.nlots);
	weigh_view_pieces(&view, &parts, &ask, &w, &t[0]);
	if (view.ranged) {
		weigh_view_lots(&view, &parts, &w, &t[1]);
		tool_print_tables((const struct table *const[]){ &t[0], &t[1] }, 2);
		table_release(&t[1]);
		table_release(&t[0]);
	} else
		print(&t[0]);
	weigh_wanted_release(&w);
	return any;
}

static bool print_checks(void)
{
	struct line_checks checks;
	struct table t;

	line_checks_find(&checks, &parts.lines, &parts.pairs, view.sure);
	(want_pairs ? weigh_view_pairs : weigh_view_checks)(&view, &checks, &t);
	line_checks_release(&checks);
	return print(&t);
}

static bool print_scales(void)
{
	struct scale_drift drift;
	struct table t;

	scale_drift_find(&drift, &parts.book, view.today, 0.95);
	view.sure = 0.95;
	weigh_view_scales(&view, &drift, &t);
	scale_drift_release(&drift);
	return print(&t);
}

static bool print_histogram(void)
{
	bool ounces = book.house && (book.house->units.bat_mass == UNIT_MASS_LB || book.house->units.bat_mass == UNIT_MASS_OZ);
	struct mass_bins bins;
	struct wanted w;
	struct table t;

	weigh_wanted_find(&w, &parts, &ask);
	mass_bins_find(&bins, &parts, &ask, &w, bin_g > 0 ? bin_g : mass_bins_step_g(ounces ? 28349523 : 25000000, ounces));
	weigh_view_bins(&view, &bins, &t);
	mass_bins_release(&bins);
	weigh_wanted_release(&w);
	return print(&t);
}

static bool print_lines(void)
{
	struct table t;

	weigh_view_lines(&view, &parts, &t);
	return print(&t) && parts.lines.model != MASS_NONE;
}

int main(int argc, char **argv)
{
	bool any;
	int status;

	tool_start(&page, argc, argv);
	choose();
	book_start(&book, 0);
	check_word("--type", type_text, HOUSE_TYPE);
	check_word("--grade", grade_text, HOUSE_GRADE);
	check_word("--class", class_text, HOUSE_CLASS);
	status = read_book();
	if (view.ranged || want_stock)
		any = print_pieces();
	else if (want_residuals || want_pairs)
		any = print_checks();
	else
		any = want_scales ? print_scales() : want_histogram ? print_histogram() : print_lines();
	weigh_parts_release(&parts);
	stock_release(&stock);
	return tool_finish(any ? status : TOOL_NO);
}
