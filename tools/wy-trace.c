/* wy-trace - where a bat, a blade or a lot is from, and who shares its history; wy-trace(1). */
#include <stdlib.h>

#include "book/value.h"
#include "cli/tool_book.h"
#include "stock/stock.h"
#include "trace/dossier.h"
#include "trace/driest.h"
#include "trace/pedigree_dot.h"
#include "trace/read_wood.h"
#include "trace/sharing.h"
#include "trace/sources.h"
#include "trace/ties.h"
#include "trace/trace.h"
#include "trace/trace_view.h"
#include "trace/way.h"

/* ---- options */

/* Those of every answer, in their order, and the drawing. */
static const char *const form_words[] = { "text", "tsv", "csv", "json", "md", "html", "dot", NULL };
enum { AS_DOT = TABLE_AS_HTML + 1 };

static const char *const by_words[] = { "handle", "lot", "charge", "tree", NULL };

static int kind = -1, form = -1;
static bool want_sharing, want_dossier, want_every, want_dry;
static const char *by_text, *under_text;
static struct opt_day from_day = { .day = INT32_MIN }, to_day = { .day = INT32_MAX };

static const struct opt options[] = {
	OPT_FLAG('s', "sharing", &want_sharing, "all that shares a handle lot, lot, charge or tree with it, and where each is"),
	OPT_TEXT(0, "by", &by_text, "KEYS", "with --sharing: only some of handle, lot, charge, tree, with commas"),
	OPT_FLAG(0, "dossier", &want_dossier, "what a buyer of timber keeps of its sources, and what is missing"),
	OPT_FLAG(0, "every", &want_every, "with --dossier: of every source, instead of one ID"),
	OPT_DAY(0, "from", &from_day, "with --every: only what came in on this day or later"),
	OPT_DAY(0, "to", &to_day, "with --every: only what came in on this day or before"),
	OPT_FLAG(0, "dry", &want_dry, "the pieces that were read too dry, their charge, and where their lot is"),
	OPT_TEXT(0, "under", &under_text, "MC", "with --dry: the floor, such as 8%; default: the low end of the house's ready band"),
	OPT_WORD(0, "kind", &kind, trace_kind_words, "what the ID is, if it is several things"),
	OPT_PART(tool_house_options),
	OPT_WORD(0, "as", &form, form_words, "form of the answer; else text on a terminal and tsv elsewhere;\ndot: a drawing in the Graphviz language"),
	OPT_FLAG(0, "no-header", &tool.no_header, "leave out the header row"),
	OPT_PART(tool_column_options),
	OPT_PART(tool_on_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-trace",
	.purpose = "where a bat, a blade or a lot is from, and who shares its history",
	.usage = "[--sharing [--by=KEYS] | --dossier] [options] ID [FILE...]\n--dossier --every [--from=DATE] [--to=DATE] [options] [FILE...]\n"
		"--dry [--under=MC] [options] [FILE...]",
	.options = options,
	.exits = BOOK_STOCK_EXITS("no such ID or nothing to show"),
	.example = "wy-trace -b B0635\norigin, way, places, moisture of the bat, and who shares them",
};

static const char *id;
static struct sharing_ask sharing = { { true, true, true, true } };
static int64_t dry_floor = HOUSE_NONE;

static void choose_ties(void)
{
	size_t by[TIE_KINDS], n = tool_words("--by", by_text, by_words, by);

	if (!by_text)
		return;
	if (!want_sharing)
		tool_misused("--by needs --sharing; add it");
	for (size_t i = 0; i < TIE_KINDS; i++)
		sharing.by[i] = n == 0;
	while (n-- > 0)
		sharing.by[by[n]] = true;
}

static void choose_floor(void)
{
	struct value v;

	if (!under_text)
		return;
	if (!want_dry)
		tool_misused("--under needs --dry; add it");
	if (value_read(TYPE_MOISTURE, 0, slice_of(under_text), &v) != VALUE_OK || v.fix <= 0)
		tool_misused("--under '%s' is not a moisture content; write it as 8%%", under_text);
	dry_floor = v.fix;
}

/* The first operand is the id, unless the answer is about the whole book. */
static void choose(void)
{
	if (want_sharing + want_dossier + want_dry > 1)
		tool_misused("--sharing, --dossier and --dry cannot be combined; choose one");
	if (want_every && !want_dossier)
		tool_misused("--every needs --dossier; add it");
	if ((from_day.text || to_day.text) && !want_every)
		tool_misused("--from and --to need --dossier --every; add them");
	if (form == AS_DOT && (want_sharing || want_dossier || want_dry))
		tool_misused("--as=dot draws the pedigree; leave out --sharing, --dossier and --dry");
	choose_ties();
	choose_floor();
	if (form != AS_DOT)
		tool.form = form;
	if (want_every || want_dry)
		return;
	if (!tool.n_operands)
		tool_misused("name the ID of a bat, blade, lot, charge or tree, such as wy-trace -b B0635");
	id = tool.operands[0];
	tool.operands++;
	tool.n_operands--;
}

/* ---- the book and the id */

static struct book book;
static struct stock stock;
static struct trace trace;

static void take(void *context, const struct line *l)
{
	trace_take(context, l);
}

static void house_floor(void)
{
	if (!want_dry || dry_floor != HOUSE_NONE)
		return;
	if (!book.house || !house_range_given(book.house->ready.band) || book.house->ready.band.low == INT64_MIN)
		tool_misused("the house file has no ready band that begins somewhere; name the floor, such as --under 8%%");
	dry_floor = book.house->ready.band.low;
}

/* "a lot and a charge; add --kind=lot or --kind=charge". */
static void say_kinds(unsigned kinds)
{
	struct buf is = BUF_INIT, write = BUF_INIT;

	for (int i = 0; i < TRACE_KINDS; i++) {
		if (!(kinds & 1u << i))
			continue;
		buf_printf(&is, "%sa %s", is.n ? " and " : "", trace_kind_words[i]);
		buf_printf(&write, "%s--kind=%s", write.n ? " or " : "", trace_kind_words[i]);
	}
	tool_misused("%s is %s; add %s", id, buf_cstr(&is), buf_cstr(&write));
}

/* False when the book does not have it by that day. */
static bool find(void)
{
	unsigned kinds = trace_look(&trace, slice_of(id));
	struct slice near;

	if (kind >= 0 && !(kinds & 1u << kind) && kinds) {
		tool_warn("%s is not a %s in this book", id, trace_kind_words[kind]);
		return false;
	}
	if (!kinds) {
		near = trace_near(&trace, slice_of(id));
		tool_warn(near.n ? "the book has no '%s' by that day; perhaps %.*s?" : "the book has no '%s' by that day; check the ID and --on%.*s", id, (int)near.n, near.p);
		return false;
	}
	if (kind < 0 && (kinds & (kinds - 1)))
		say_kinds(kinds);
	for (int i = 0; kind < 0; i++)
		if (kinds & 1u << i)
			kind = i;
	trace_choose(&trace, slice_of(id), (enum trace_kind)kind);
	return true;
}

/* ---- the answers; each returns whether there was something to show */

static void check_readings(void)
{
	if (trace.readings.error)
		tool_fail("cannot hold the readings of moisture in a temporary file: %s", strerror(trace.readings.error));
}

/* Then tables without rows are left out. */
static bool for_reading(void)
{
	return tool_form() == TABLE_AS_TEXT || tool_form() == TABLE_AS_MD || tool_form() == TABLE_AS_HTML;
}

static bool print_table(struct table *t)
{
	bool any = table_rows(t) > 0;

	check_readings();
	tool_print_table(t);
	table_release(t);
	return any;
}

/* The first table has the finding. */
static bool print_page(const struct ties *ties)
{
	static void (*const VIEWS[])(const struct trace_found *f, struct table *t) = { trace_view_origin, trace_view_way, trace_view_places,
		trace_view_moisture, trace_view_ties, trace_view_notes };
	enum { N = sizeof VIEWS / sizeof *VIEWS };
	struct table table[N];
	const struct table *shown[N];
	struct way way;
	struct read_wood read;
	struct trace_found found = { &trace, ties, &way, &read, tool_form() == TABLE_AS_TEXT && !tool.all_columns };
	size_t n = 0;

	way_find(&way, &trace, ties);
	read_wood_find(&read, &trace, ties);
	check_readings();
	for (size_t i = 0; i < N; i++) {
		VIEWS[i](&found, &table[i]);
		if (!for_reading() || i == 0 || table_rows(&table[i]))
			shown[n++] = &table[i];
	}
	tool_print_tables(shown, n);
	for (size_t i = 0; i < N; i++)
		table_release(&table[i]);
	way_release(&way);
	read_wood_release(&read);
	return true;
}

static bool print_dossier(void)
{
	struct sources sources = { .n = 0 };
	struct table t;

	if (want_every)
		sources_add_all(&sources, &trace, from_day.day, to_day.day);
	else {
		sources_add(&sources, &trace, &trace.wood);
		sources_add(&sources, &trace, &trace.handle);
	}
	sources_sort(&sources, &trace);
	dossier_view(&trace, &sources, &t);
	sources_release(&sources);
	return print_table(&t);
}

static bool print_ties(void)
{
	struct ties ties;
	struct table t;
	struct buf b = BUF_INIT;
	bool any = true;

	ties_find(&ties, &trace);
	if (form == AS_DOT) {
		pedigree_dot_write(&trace, &ties, &b);
		tool_put_buf(&b);
		buf_release(&b);
	} else if (want_sharing) {
		sharing_view(&sharing, &trace, &ties, &t);
		any = print_table(&t);
	} else
		any = print_page(&ties);
	ties_release(&ties);
	return any;
}

static bool print_dry(void)
{
	struct table pieces, lots;
	const struct table *const tables[] = { &pieces, &lots };
	bool any;

	driest_view(&trace, dry_floor, &pieces, &lots);
	check_readings();
	any = table_rows(&pieces) > 0;
	tool_print_tables(tables, any || !for_reading() ? 2 : 1);
	table_release(&pieces);
	table_release(&lots);
	return any;
}

static bool print(void)
{
	if (want_dry)
		return print_dry();
	if (id && !find())
		return false;
	return want_dossier ? print_dossier() : print_ties();
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose();
	book_start(&book, 0);
	book_period(&from_day, &to_day, &from_day.day, &to_day.day);
	house_floor();
	book_stock_init(&book, &stock);
	trace_init(&trace, book.house, book.zone, &stock, book_today(&book));
	status = book_stock_read(&book, &stock, trace.today, take, &trace);
	trace_end(&trace);
	if (book_stock_tell(&book, &stock))
		status = TOOL_NO;
	if (!print())
		status = TOOL_NO;
	trace_release(&trace);
	stock_release(&stock);
	return tool_finish(status);
}
