/* wy-moist - moisture by charge, lot, place and month; wy-moist(1). */
#include <stdlib.h>

#include "base/mem.h"
#include "book/scan.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "cli/tool_group.h"
#include "moist/calibrate.h"
#include "moist/moist_rows.h"
#include "moist/moist_view.h"
#include "moist/moist_view_depth.h"
#include "moist/moist_view_quality.h"
#include "moist/readings.h"
#include "table/partial.h"
#include "table/table.h"

/* ---- options */

static bool all;

/* What is answered: moisture as it is, or one of the views. */
static bool quality, sampling, by_depth, planing, calibrate;
static const char *target_text, *share_text, *sure_text;

static const struct opt options[] = {
	OPT_TEXT(0, "by", &tool_group_by, "KEY,...",
		"a row for each of place, charge, lot, part, month or day,\nin this order (place,part)"),
	OPT_FLAG('a', "all", &all, "count every reading alike, not the last of each piece alone"),
	OPT_FLAG(0, "quality", &quality, "instead: the drying quality against a target (EN 14298), and what\nthe pieces read assure of the rest"),
	OPT_FLAG(0, "plan", &sampling, "instead: how many pieces to read after the kiln, and the verdict on\nthose that were read"),
	OPT_FLAG(0, "depth", &by_depth, "instead: by depth of the pins, with how much wetter the core is"),
	OPT_FLAG(0, "planing", &planing, "instead: before and after planing (by lot)"),
	OPT_FLAG(0, "calibrate", &calibrate, "instead: each meter's own line from its oven tests"),
	OPT_TEXT(0, "target", &target_text, "PCT", "of --quality: the target, 8% (the place's, or that of ready in the\nhouse file)"),
	OPT_TEXT(0, "share", &share_text, "PCT", "the share of pieces to be assured (the house file's, else 90%)"),
	OPT_TEXT(0, "sure", &sure_text, "PCT", "how sure (the house file's, else 90%)"),
	OPT_PART(tool_group_options),
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-moist",
	.purpose = "moisture of wood by charge, lot, place and month: as it was last, or of all readings",
	.usage = "[options] [FILE...]\n--quality|--plan|--depth|--planing|--calibrate [options] [FILE...]\n--merge [options] [STATE...]",
	.options = options,
	.example = "wy-moist --by=charge book.wy\nhow wet the probed pieces of each charge were when they were last read",
};

/* ---- reading */

static struct book book;
static struct readings readings;
static struct groups packed, facts; /* of a state */
static struct calibrate tests;

struct worker {
	struct readings readings;
	struct calibrate tests;
};

/* A state serves any days and keys. */
static struct readings_want wanted(void)
{
	if (tool_group.partial)
		return (struct readings_want){ INT32_MIN, INT32_MAX, true };
	return (struct readings_want){ tool_group.from, tool_group.to, tool_group_has(MOIST_BY_LOT) || tool_group_has(MOIST_BY_PART) };
}

static void *begin(void *arg)
{
	struct worker *w = mem_zeroed(1, sizeof *w);

	(void)arg;
	readings_init(&w->readings, book.house, book.zone, wanted());
	calibrate_init(&w->tests, book.house);
	return w;
}

static void lines(void *state, struct reader *reader)
{
	struct worker *w = state;
	const struct line *l;

	while ((l = reader_next(reader))) {
		if (l->kind != LINE_EVENT)
			continue;
		if (!calibrate)
			readings_take(&w->readings, l);
		else if (tool_group_covers(l->stamp.day))
			calibrate_take(&w->tests, l);
	}
}

static void end(void *arg, void *state)
{
	struct worker *w = state;

	(void)arg;
	readings_merge(&readings, &w->readings);
	readings_release(&w->readings);
	calibrate_merge(&tests, &w->tests);
	calibrate_release(&w->tests);
	free(w);
}

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

static struct moist_ask ask = { .target = HOUSE_NONE, .cover = 0.9, .sure = 0.9 };

static void check_views(void)
{
	int views = quality + sampling + by_depth + planing + calibrate;

	if (views > 1)
		tool_misused("--quality, --plan, --depth, --planing and --calibrate are answers of their own; take one");
	if (views && all)
		tool_misused("--all counts readings, and this answer counts pieces");
	if (calibrate && (tool_group.merge || tool_group.partial))
		tool_misused("a state has no readings as they were before correction; give --calibrate the book");
	if (calibrate && tool_group_by)
		tool_misused("--calibrate has a row for each meter and setting, and no --by");
	if (target_text && !quality)
		tool_misused("--target is for --quality");
	if ((share_text || sure_text) && (!views || calibrate))
		tool_misused("--share and --sure are for the answers that assure a share");
}

static void read_share(const char *option, const char *text, int64_t given, double *share)
{
	struct value v = { .fix = given };

	if (text && value_read(TYPE_HUMIDITY, 0, slice_of(text), &v) != VALUE_OK)
		tool_misused("%s takes a share such as 90%% and not '%s'", option, text);
	if (text && (v.fix <= 0 || v.fix >= 100 * VALUE_STEPS))
		tool_misused("%s=%s: say more than 0%% and less than 100%%; no sample makes sure of all", option, text);
	if (v.fix > 0 && v.fix < 100 * VALUE_STEPS)
		*share = (double)v.fix / (100 * VALUE_STEPS);
}

/* What is asked for, else what the house says, else nine in ten. */
static void read_shares(void)
{
	struct value v;

	read_share("--share", share_text, book.house ? book.house->ready.share : 0, &ask.cover);
	read_share("--sure", sure_text, book.house ? book.house->ready.sure : 0, &ask.sure);
	if (sampling && ask.sure <= 0.5)
		tool_misused("--plan needs to be surer than 50%%");
	if (!target_text)
		return;
	if (value_read(TYPE_MOISTURE, 0, slice_of(target_text), &v) != VALUE_OK || v.fix <= 0)
		tool_misused("--target takes a moisture such as 8%% and not '%s'", target_text);
	ask.target = v.fix;
}

/* A state holds readings as they were corrected, at instants of the works' clock, and no more than that. */
static void set_settings(void)
{
	struct buf rules = BUF_INIT;

	for (size_t i = 0; book.house && i < book.house->nmeters; i++) {
		const struct house_meter *m = &book.house->meters[i];

		buf_add(&rules, m->id);
		buf_printf(&rules, " %d %lld %.17g %lld %lld", m->kind, (long long)m->reference, m->per10c,
			(long long)m->trust.low, (long long)m->trust.high);
		for (size_t k = 0; k < m->nown; k++) {
			buf_printf(&rules, " %d %.17g %.17g ", (int)m->own[k].from, m->own[k].a, m->own[k].b);
			buf_add(&rules, m->own[k].setting);
		}
		buf_char(&rules, '\n');
	}
	tool_group.settings.n = 0;
	buf_str(&tool_group.settings, "clock=");
	buf_add(&tool_group.settings, book.house ? book.house->clock : SLICE("Z"));
	buf_printf(&tool_group.settings, " meters=%016llx", (unsigned long long)slice_hash(buf_slice(&rules)));
	buf_release(&rules);
}

static void set_ask(void)
{
	ask.house = book.house;
	ask.by = tool_group.by;
	ask.nby = tool_group.nby;
	ask.all = all;
	ask.by_depth = by_depth;
	ask.by_form = planing;
	read_shares();
}

/* ---- the answer */

/* Rows at a time that are printed before the rest is made; as text all have to be there. */
enum { ROWS_HELD = 256 };

static bool begun;

static struct table_style style(void)
{
	return (struct table_style){ .form = (enum table_form)tool_form(), .no_header = tool.no_header };
}

static void print_some(struct table *t)
{
	struct buf out = BUF_INIT;

	if (tool_form() == TABLE_AS_TEXT || table_rows(t) < ROWS_HELD)
		return;
	if (!begun)
		table_begin(t, style(), &out);
	begun = true;
	table_flush(t, style(), &out);
	tool_put_buf(&out);
	buf_release(&out);
}

static void print_rest(struct table *t)
{
	struct buf out = BUF_INIT;

	if (begun) {
		table_end(t, style(), &out);
		tool_put_buf(&out);
		buf_release(&out);
	} else
		tool_print_table(t);
	table_release(t);
}

static void print_plan(const struct moist_view *v)
{
	struct table plan, taken;
	const struct table *tables[] = { &plan, &taken };

	moist_view_plan(v, &plan, &taken);
	tool_print_tables(tables, 2);
	table_release(&plan);
	table_release(&taken);
}

/* Whether there is an answer. */
static bool print_view(struct moist_rows *m)
{
	const struct moist_view view = { &ask, m, print_some };
	bool any = m->n > 0;
	struct table t;

	if (sampling) {
		print_plan(&view);
		return any;
	}
	if (quality)
		moist_view_quality(&view, &t);
	else if (by_depth)
		any = moist_view_depth(&view, &t);
	else if (planing)
		moist_view_planing(&view, &t);
	else
		moist_view_answer(&view, &t);
	print_rest(&t);
	return any;
}

static bool answer(void)
{
	struct reading_facts told = readings_resolve(&readings);
	struct moist_rows rows;
	struct reading r;

	moist_rows_init(&rows, &ask, &told);
	while (readings_next(&readings, &r))
		moist_rows_take(&rows, &r);
	must_hold();
	moist_rows_finish(&rows);
	return print_view(&rows);
}

static bool print_lines(void)
{
	struct table t;

	calibrate_table(&tests, &t);
	print_rest(&t);
	return tests.n > 0;
}

int main(int argc, char **argv)
{
	struct groups *sets[] = { &packed, &facts };
	struct partial state = { .tool = "wy-moist", .set = sets, .nsets = 2, .pack = pack, .take = unpack };
	const struct scan_work work = { NULL, begin, lines, end };
	int status;

	tool_start(&page, argc, argv);
	check_views();
	tool_group_start(moist_by_words, planing ? "lot" : "place,part");
	if (tool_group_has(MOIST_BY_MONTH) && tool_group_has(MOIST_BY_DAY))
		tool_misused("--by takes month or day and not both: a day is of its month");
	book_start(&book, 0);
	set_settings();
	set_ask();
	readings_init(&readings, book.house, book.zone, wanted());
	calibrate_init(&tests, book.house);
	groups_init(&packed, &readings_plan);
	groups_init(&facts, &readings_facts_plan);
	status = tool_group_read(&book, &work, &state);
	must_hold();
	if (tool_group.partial)
		return tool_finish(status);
	return tool_finish((calibrate ? print_lines() : answer()) ? status : TOOL_NO);
}
