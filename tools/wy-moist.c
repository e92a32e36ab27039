/* wy-moist - moisture by charge, lot, place and month; wy-moist(1). */
#include "cli/tool_group.h"
#include "moist/calibrate.h"
#include "moist/moist_scan.h"
#include "moist/moist_view.h"
#include "moist/moist_view_depth.h"
#include "moist/moist_view_quality.h"
#include "moist/readings.h"

/* ---- options */

/* The proportion and the confidence are 90 % unless the house file or an option says otherwise. */
static struct moist_ask ask = { .target = HOUSE_NONE, .cover = 0.9, .sure = 0.9 };

static bool quality, sampling, calibrate; /* with ask.by_depth and ask.by_form: the views */
static const char *target_text, *share_text, *sure_text;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &tool_group_by, "KEY,...",
		"a row for each place, charge, lot, part, month or day,\nin this order (place,part)"),
	OPT_FLAG('a', "all", &ask.all, "count every reading, not only the latest of each piece"),
	OPT_FLAG(0, "quality", &quality, "the drying quality against a target (EN 14298), and what the sample shows of the rest"),
	OPT_FLAG(0, "plan", &sampling, "how many pieces to read after the kiln, and the verdict on those that were read"),
	OPT_FLAG(0, "depth", &ask.by_depth, "by depth of the pins: shell and core"),
	OPT_FLAG(0, "planing", &ask.by_form, "before and after planing (by lot)"),
	OPT_FLAG(0, "calibrate", &calibrate, "each meter's own line from its oven tests"),
	OPT_TEXT(0, "target", &target_text, "PCT", "the target of --quality, such as 8% (the place's, or that of ready in the house file)"),
	OPT_TEXT(0, "share", &share_text, "PCT", "the proportion of pieces that must conform (the house file's, else 90%)"),
	OPT_TEXT(0, "sure", &sure_text, "PCT", "the confidence (the house file's, else 90%)"),
	OPT_PART(tool_group_options),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-moist",
	.purpose = "moisture of wood by charge, lot, place and month, from the latest or all readings",
	.usage = "[options] [FILE...]\n--quality|--plan|--depth|--planing|--calibrate [options] [FILE...]\n--merge [options] [STATE...]",
	.options = options,
	.example = "wy-moist --by=charge book.wy\nthe latest readings of the pieces of each charge",
};

/* ---- reading */

static struct book book;
static struct readings readings;
static struct calibrate tests;
static struct groups packed, facts; /* of a state */

static void must_hold(void)
{
	if (readings.error)
		tool_fail("cannot hold the readings in a temporary file: %s", strerror(readings.error));
}

static void pack(void)
{
	readings_pack(&readings, &packed, &facts);
	must_hold();
}

/* The readings of a state are taken as they come, so that they are not held as groups too. */
static bool unpack(const struct groups *set, const struct slice *key, int64_t n)
{
	return set == &packed ? readings_unpack_row(&readings, key, n) : readings_unpack_fact(&readings, key);
}

/* ---- what is asked */

static void check_views(void)
{
	int views = quality + sampling + ask.by_depth + ask.by_form + calibrate;

	if (views > 1)
		tool_misused("--quality, --plan, --depth, --planing and --calibrate exclude one another; choose one");
	if (views && ask.all)
		tool_misused("--all counts readings, but this answer counts pieces; leave out --all");
	if (calibrate && (tool_state.merge || tool_state.partial))
		tool_misused("a state has no uncorrected readings; give --calibrate the book instead");
	if (calibrate && tool_group_by)
		tool_misused("--calibrate has a row for each meter and setting; leave out --by");
	if (target_text && !quality)
		tool_misused("--target needs --quality");
	if ((share_text || sure_text) && (!views || calibrate))
		tool_misused("--share and --sure need --quality, --plan, --depth or --planing");
}

static void read_share(const char *option, const char *text, int64_t given, double *share)
{
	enum moist_share_fault fault;

	moist_ask_house_share(given, share);
	fault = text ? moist_ask_share(slice_of(text), share) : MOIST_SHARE_OK;
	if (fault == MOIST_SHARE_MALFORMED)
		tool_misused("%s='%s' is not a proportion; write a per cent value such as 90%%", option, text);
	if (fault == MOIST_SHARE_END)
		tool_misused("%s=%s must be above 0%% and below 100%%; no sample can show all", option, text);
}

static void set_ask(void)
{
	ask.house = book.house;
	ask.from = tool_group.from;
	ask.to = tool_group.to;
	ask.by = tool_group.by;
	ask.nby = tool_group.nby;
	read_share("--share", share_text, book.house ? book.house->ready.share : 0, &ask.cover);
	read_share("--sure", sure_text, book.house ? book.house->ready.sure : 0, &ask.sure);
	if (sampling && ask.sure <= 0.5)
		tool_misused("--plan needs a confidence above 50%%, such as --sure=90%%");
	if (target_text && !moist_ask_target(&ask, slice_of(target_text)))
		tool_misused("--target='%s' is not a moisture content; write --target=8%%", target_text);
}

/* A state serves any days and keys. */
static struct readings_want wanted(void)
{
	if (tool_state.partial)
		return (struct readings_want){ INT32_MIN, INT32_MAX, true };
	return (struct readings_want){ tool_group.from, tool_group.to, tool_group_has(MOIST_BY_LOT) || tool_group_has(MOIST_BY_PART) };
}

/* ---- the answer */

/* Rows at a time that are printed before the rest is made. Forms for reading begin with a finding, so all rows wait. */
enum { ROWS_HELD = 256 };

static void print_some(struct table *t)
{
	bool waits = tool_form() != TABLE_AS_TSV && tool_form() != TABLE_AS_CSV && tool_form() != TABLE_AS_JSON;

	if (!waits && table_rows(t) >= ROWS_HELD)
		tool_print_rows(t);
}

static void print_rest(struct table *t)
{
	tool_print_rest(t);
	table_release(t);
}

static bool print_plan(const struct moist_view *v)
{
	struct table plan, taken;
	const struct table *tables[] = { &plan, &taken };

	moist_view_plan(v, &plan, &taken);
	tool_print_tables(tables, 2);
	table_release(&plan);
	table_release(&taken);
	return v->rows->n > 0;
}

static bool print_view(const struct moist_view *v)
{
	struct table t;
	bool any = (quality ? moist_view_quality : ask.by_depth ? moist_view_depth : ask.by_form ? moist_view_planing : moist_view_answer)(v, &t);

	print_rest(&t);
	return any;
}

/* Whether there is one. */
static bool answer(void)
{
	struct reading_facts facts_of = readings_resolve(&readings);
	struct moist_rows rows;
	const struct moist_view view = { &ask, &rows, print_some };
	bool any;

	moist_rows_init(&rows, &ask, &facts_of);
	moist_rows_fill(&rows, &readings, book_workers());
	must_hold();
	any = sampling ? print_plan(&view) : print_view(&view);
	moist_rows_release(&rows);
	return any;
}

static bool print_lines(void)
{
	struct table t;

	calibrate_table(&tests, &t);
	print_rest(&t);
	return tests.n > 0;
}

/* The book, or states; a state of readings has settings of its own. */
static int read_all(void)
{
	struct groups *sets[] = { &packed, &facts };
	struct partial state = { .tool = "wy-moist", .set = sets, .nsets = 2, .pack = pack, .take = unpack };
	struct moist_scan scan = { &readings, calibrate ? &tests : NULL, tool_group.from, tool_group.to };
	const struct scan_work work = moist_scan_work(&scan);
	int status;

	tool_group.settings.n = 0;
	moist_ask_settings(book.house, &tool_group.settings);
	readings_init(&readings, book.house, book.zone, wanted());
	calibrate_init(&tests, book.house);
	groups_init(&packed, &readings_plan);
	groups_init(&facts, &readings_facts_plan);
	status = tool_group_read(&book, &work, &state);
	must_hold();
	groups_release(&packed);
	groups_release(&facts);
	return status;
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	check_views();
	tool_group_start(moist_by_words, ask.by_form ? "lot" : "place,part");
	if (tool_group_has(MOIST_BY_MONTH) && tool_group_has(MOIST_BY_DAY))
		tool_misused("--by accepts month or day, but not both");
	book_start(&book, 0);
	set_ask();
	status = read_all();
	if (!tool_state.partial)
		status = (calibrate ? print_lines() : answer()) ? status : TOOL_NO;
	readings_release(&readings);
	calibrate_release(&tests);
	return tool_finish(status);
}
