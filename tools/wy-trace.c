/* wy-trace - where a bat, a blade or a lot is from, and who shares its history; wy-trace(1). */
#include <string.h>

#include "cli/tool_book.h"
#include "trace/dossier.h"
#include "trace/driest.h"
#include "trace/pedigree_dot.h"
#include "trace/sharing.h"
#include "trace/trace.h"
#include "trace/trace_view.h"

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
	OPT_WORD(0, "as", &form, form_words, "form of the answer; else text on a terminal and tsv\nelsewhere; dot: a drawing in the Graphviz language"),
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
static struct sharing_ask sharing;
static int64_t dry_floor;

static void needs(bool given, const char *option, bool other_given, const char *other)
{
	if (given && !other_given)
		tool_misused("%s needs %s; add it", option, other);
}

static void choose_ties(void)
{
	size_t by[TIE_KINDS], n = tool_words("--by", by_text, by_words, by);

	for (size_t i = 0; i < TIE_KINDS; i++)
		sharing.by[i] = n == 0;
	while (n-- > 0)
		sharing.by[by[n]] = true;
}

/* The first operand is the id, unless the answer is about the whole book. */
static void choose(void)
{
	if (want_sharing + want_dossier + want_dry > 1)
		tool_misused("--sharing, --dossier and --dry cannot be combined; choose one");
	needs(by_text, "--by", want_sharing, "--sharing");
	needs(under_text, "--under", want_dry, "--dry");
	needs(want_every, "--every", want_dossier, "--dossier");
	needs(from_day.text, "--from", want_every, "--dossier --every");
	needs(to_day.text, "--to", want_every, "--dossier --every");
	if (form == AS_DOT && (want_sharing || want_dossier || want_dry))
		tool_misused("--as=dot draws the pedigree; leave out --sharing, --dossier and --dry");
	choose_ties();
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

static bool is_page(void)
{
	return !want_sharing && !want_dossier && !want_dry && form != AS_DOT;
}

/* ---- the book and the id */

static struct book book;
static struct stock stock;
static struct trace trace;

static void take(void *context, const struct line *l)
{
	trace_take(context, l);
}

static void choose_floor(void)
{
	const char *wrong = want_dry ? driest_floor(book.house, under_text, &dry_floor) : NULL;

	if (wrong)
		tool_misused("%s", wrong);
}

/* False when the book does not have it by that day. */
static bool find(void)
{
	struct buf why = BUF_INIT;
	enum trace_search found = trace_find(&trace, slice_of(id), kind, &why);

	if (found == TRACE_SEVERAL)
		tool_misused("%s", buf_cstr(&why));
	if (found == TRACE_UNKNOWN)
		tool_warn("%s", buf_cstr(&why));
	buf_release(&why);
	return found == TRACE_FOUND;
}

/* ---- the answers; each returns whether there was something to show */

/* Prints some tables and releases them; for reading, of several only the first is shown without rows. */
static bool print_tables(struct table *table, size_t n)
{
	bool for_reading = tool_form() == TABLE_AS_TEXT || tool_form() == TABLE_AS_MD || tool_form() == TABLE_AS_HTML;
	bool any = table_rows(&table[0]) > 0;
	const struct table *shown[TRACE_TABLES];
	size_t k = 0;

	if (trace.readings.error)
		tool_fail("cannot hold the readings of moisture in a temporary file: %s", strerror(trace.readings.error));
	for (size_t i = 0; i < n; i++)
		if (!for_reading || i == 0 || table_rows(&table[i]))
			shown[k++] = &table[i];
	if (n > 1)
		tool_print_tables(shown, k);
	else
		tool_print_table(shown[0]);
	for (size_t i = 0; i < n; i++)
		table_release(&table[i]);
	return any;
}

static bool print_dot(const struct ties *ties)
{
	struct buf b = BUF_INIT;

	pedigree_dot_write(&trace, ties, &b);
	tool_put_buf(&b);
	buf_release(&b);
	return true;
}

static bool print_ties(void)
{
	struct table t[TRACE_TABLES];
	struct ties ties;
	bool any;

	ties_find(&ties, &trace);
	if (form == AS_DOT)
		any = print_dot(&ties);
	else if (want_sharing) {
		sharing_view(&sharing, &trace, &ties, t);
		any = print_tables(t, 1);
	} else {
		trace_view(&trace, &ties, tool_form() == TABLE_AS_TEXT && !tool.all_columns, t);
		any = print_tables(t, TRACE_TABLES);
	}
	ties_release(&ties);
	return any;
}

static bool print(void)
{
	struct table t[2];

	if (id && !find())
		return false;
	if (want_dry) {
		driest_view(&trace, dry_floor, &t[0], &t[1]);
		return print_tables(t, 2);
	}
	if (!want_dossier)
		return print_ties();
	if (want_every)
		dossier_view_every(&trace, from_day.day, to_day.day, t);
	else
		dossier_view(&trace, t);
	return print_tables(t, 1);
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	choose();
	book_start(&book, 0);
	book_period(&from_day, &to_day, &from_day.day, &to_day.day);
	choose_floor();
	book_stock_init(&book, &stock);
	trace_init(&trace, book.house, book.zone, &stock, book_today(&book));
	trace.reads = want_dry || is_page();
	trace.airs = is_page();
	if (id)
		trace_only(&trace, slice_of(id), &book.vocab);
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
