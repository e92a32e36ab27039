/* wy-due - what needs a decision or a hand, in the order of its day; wy-due(1). */
#include "check/check.h"
#include "cli/tool_book.h"
#include "due/due_book.h"
#include "due/due_find.h"
#include "due/due_ics.h"

/* ---- options */

enum { AS_ICS = TABLE_AS_HTML + 1, WIDTH_MOST = 80 };

static const char *const form_words[] = { "text", "tsv", "csv", "json", "md", "html", "ics", NULL };
static int64_t ahead = 7, back = 7;
static const char *who;

static const struct opt options[] = {
	OPT_INT(0, "days", &ahead, "N", 0, 3660, "look N days ahead (7)"),
	OPT_INT(0, "back", &back, "N", 1, 3660, "judge the readings of N days, today included (7)"),
	OPT_TEXT(0, "for", &who, "WHO", "only what this person looks after, by care: of the house file"),
	OPT_PART(tool_house_options),
	OPT_WORD(0, "as", &tool.form, form_words, "form of the answer; else text on a terminal and tsv\nelsewhere; ics is iCalendar"),
	OPT_FLAG(0, "no-header", &tool.no_header, "leave out the header row"),
	OPT_PART(tool_column_options),
	OPT_PART(tool_on_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-due",
	.purpose = "what needs a decision or a hand, in the order of its day",
	.usage = "[--days=N] [--for=WHO] [options] [FILE...]",
	.options = options,
	.exits = "0  nothing is overdue\n1  something is overdue, or lines could not be read\n"
		"2  usage error, or something could not be read or written",
	.example = "wy-due -b --days=14\nwhat is overdue, due today and due within 14 days",
};

/* ---- reading */

static struct book book;
static struct stock stock;
static struct due_book facts;
static struct due due;
static int64_t later_lines;

static void check_who(void)
{
	struct slice near;

	if (!who || (book.house && house_index(book.house, HOUSE_PERSON, slice_of(who)) >= 0))
		return;
	near = book.house ? house_near(book.house, HOUSE_PERSON, slice_of(who)) : SLICE("");
	tool_misused(near.n ? "'%s' is not one of the people in the house file; perhaps %.*s?" : "'%s' is not one of the people in the house file; see people: there%.*s",
		who, (int)near.n, near.p);
}

static struct due_days days_asked(void)
{
	int32_t today = book_today(&book);

	return (struct due_days){ (int32_t)(today - back + 1), today, (int32_t)(today + ahead) };
}

/* On two threads at a time: the lines that move pieces and tell of charges and orders, and the run of the stock; the checker and the rest. */
struct halves {
	struct check *check;
	int32_t today;
};

static void take_supply(void *context, const struct line *l, int64_t utc_s)
{
	const struct halves *h = context;

	if (l->kind != LINE_EVENT || l->stamp.day > h->today)
		return;
	due_book_take_supply(&facts, l, utc_s);
	if (l->event->stock.moves)
		stock_add(&stock, l, l->stamp.second == STAMP_NO_TIME ? 0 : utc_s);
}

static void run_stock(void *context)
{
	const struct halves *h = context;

	due_book_begin(&facts);
	stock_run(&stock, h->today, due_book_flow, &facts);
	due_book_end(&facts);
}

/* Later lines are not judged: on that day they were not written yet. */
static void take_rest(void *context, const struct line *l, int64_t utc_s)
{
	const struct halves *h = context;
	bool later = l->kind == LINE_EVENT && l->stamp.day > h->today;

	(void)utc_s;
	later_lines += later;
	if (later)
		return;
	check_line(h->check, l);
	due_book_take_rest(&facts, l);
}

static void end_rest(void *context)
{
	const struct halves *h = context;

	check_end(h->check);
}

/* Whether a diagnostic is about a line that cannot be read. */
static bool is_unread(void *context, const struct diag *row)
{
	const struct due_note *note = due_lines_at(context, &row->place);

	return note && !note->event;
}

/* Without all of its lines the book has no answer. */
static void tell_unread(void)
{
	diags_filter(&book.diags, is_unread, &facts.lines);
	book_tell(&book);
	book_end(&book);
}

static int answer(void)
{
	int error, status;

	if (book.unread && !tool.without_bad)
		tell_unread();
	error = due_book_answer(&facts);
	status = book_end(&book);
	if (error)
		tool_fail("cannot hold the readings in a temporary file: %s", strerror(error));
	due_find(&due, &facts, &book.diags);
	return status;
}

/* ---- printing */

static void print_text(const struct due_view *v)
{
	unsigned width = tool_width();
	struct buf out = BUF_INIT;

	if (tool.form == AS_ICS)
		due_ics_write(v, &out);
	else
		due_view_text(v, width && width < WIDTH_MOST ? width : WIDTH_MOST, &out);
	tool_put_buf(&out);
	buf_release(&out);
}

static void print_table(const struct due_view *v)
{
	struct table t;

	due_view_table(v, &t);
	tool_print_table(&t);
	table_release(&t);
}

static void print(size_t nobody)
{
	const char **name = mem_array(book.npaths, sizeof *name);
	const struct due_view view = { &due, name, later_lines, nobody, false };

	for (size_t i = 0; i < book.npaths; i++)
		name[i] = tool_path_name(book.path[i]);
	if (tool.form == AS_ICS || (tool_form() == TABLE_AS_TEXT && !tool.columns && !tool.all_columns))
		print_text(&view);
	else
		print_table(&view);
	free(name);
}

int main(int argc, char **argv)
{
	struct halves h = { .check = NULL };
	struct due_days days;
	int status;

	tool_start(&page, argc, argv);
	if (tool.form == AS_ICS && (tool.columns || tool.all_columns || tool.no_header))
		tool_misused("--as=ics has no columns; leave out --columns, --all-columns and --no-header");
	book_start(&book, BOOK_QUIET | BOOK_PATTERNS | BOOK_HALVES);
	check_who();
	days = days_asked();
	book_stock_init(&book, &stock);
	due_book_init(&facts, book.house, book.zone, days, &stock);
	due_init(&due, book.house, days);
	h.today = days.today;
	h.check = check_new(&book.vocab, book.house, book.zone, &book.diags,
		(struct check_files){ (uint32_t)book.npaths, CHECK_NO_FILE, book.path }, 0);
	book_read_halves(&book, &(struct book_half){ take_supply, run_stock, &h }, &(struct book_half){ take_rest, end_rest, &h });
	status = answer();
	print(due_close(&due, slice_of(who)));
	if (due_count(&due, DUE_OVERDUE))
		status = TOOL_NO;
	check_free(h.check);
	due_release(&due);
	due_book_release(&facts);
	stock_release(&stock);
	return tool_finish(status);
}
