/* wy-month - the month of the works on one page; wy-month(1). */
#include <stdlib.h>

#include "check/check.h"
#include "cli/book_command.h"
#include "cli/tool_book.h"
#include "month/charge_page.h"
#include "month/month_page.h"

/* ---- options */

static const char *month_text, *year_text, *charge;
static bool plain, sheet;

enum { AS_TEXT, AS_HTML };
static const char *const form_words[] = { "text", "html", NULL };
static int form = -1;

static const struct opt options[] = {
	OPT_TEXT(0, "month", &month_text, "YYYY-MM", "the month; default: the month before $WITHY_TODAY or before today"),
	OPT_TEXT(0, "year", &year_text, "YYYY", "a year instead of a month; the year of today up to today"),
	OPT_TEXT('c', "charge", &charge, "ID", "the page of one charge, as of the end of --month or of today; needs --as=html"),
	OPT_FLAG(0, "sheet", &sheet, "with --charge: a sheet for the kiln door, with rows to write readings by hand"),
	OPT_WORD(0, "as", &form, form_words, "form of the page: text (the default), or html with pictures, for a screen and for paper"),
	OPT_FLAG(0, "plain", &plain, "in sentences, for a screen reader"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-month",
	.purpose = "the month of the works on one page",
	.usage = "[--month=YYYY-MM | --year=YYYY] [--as=html | --plain] [options] [FILE...]\n--charge=ID --as=html [--sheet] [options] [FILE...]",
	.options = options,
	.exits = "0  done\n1  the book has errors or no entries; no page is printed if a line cannot be read\n"
		"2  usage error, an unknown charge, or something could not be read or written",
	.example = "wy-month -b --month 2027-12 --as=html >december.html\nDecember 2027 with pictures, for the house.yaml of this directory",
};

static void check_options(void)
{
	if (month_text && year_text)
		tool_misused("--month and --year cannot be combined; choose one");
	if (plain && form == AS_HTML)
		tool_misused("--plain is a form of the text; leave out --as=html");
	if (charge && year_text)
		tool_misused("--charge is as of a day; leave out --year");
	if (charge && form != AS_HTML)
		tool_misused("--charge needs --as=html; add it, or see wy-dry --charge for text");
	if (sheet && !charge)
		tool_misused("--sheet needs --charge; add it, such as --charge K27-09");
}

/* ---- the days */

static struct book book;

/* The month before today. */
static struct month_days last_month(void)
{
	int32_t day = day_months_before(book_today(&book), 1);

	if (day == INT32_MIN)
		tool_fail("no month is before the year 1; name one, such as --month=2027-12");
	return month_days_of(day);
}

/* The year of today is not over, and a charge is looked at from today. */
static struct month_days days_asked(void)
{
	struct month_days days;

	if (year_text && !month_days_of_year(year_text, book_today(&book), &days))
		tool_misused("'%s' is not a valid year; write it as YYYY, such as 2027", year_text);
	if (month_text && !month_days_named(month_text, &days))
		tool_misused("'%s' is not a valid month; write it as YYYY-MM, such as 2027-12", month_text);
	if (year_text || month_text)
		return days;
	return charge ? month_days_so_far(book_today(&book)) : last_month();
}

/* ---- reading */

static struct stock stock, past_stock;
static struct month month;
static struct month_lines lines;

/* What the halves of the work take: all that is not of the past, with the checker, which report to the book; and the past of the wood. */
struct halves {
	struct check *check;
	int32_t last;
};

static void add_to(struct stock *s, const struct line *l, int64_t utc_s)
{
	if (l->event->stock.moves)
		stock_add(s, l, l->stamp.second == STAMP_NO_TIME ? 0 : utc_s);
}

static void take_now(void *context, const struct line *l, int64_t utc_s)
{
	const struct halves *h = context;

	check_line(h->check, l);
	month_lines_take(&lines, l);
	if (l->kind != LINE_EVENT)
		return;
	month_take(&month, l, utc_s);
	if (l->stamp.day <= h->last)
		add_to(&stock, l, utc_s);
}

static void end_now(void *context)
{
	const struct halves *h = context;

	month_run(&month);
	check_end(h->check);
}

static void take_past(void *context, const struct line *l, int64_t utc_s)
{
	const struct halves *h = context;

	if (l->kind != LINE_EVENT)
		return;
	month_take_past(&month, l);
	if (l->stamp.day <= h->last)
		add_to(&past_stock, l, utc_s);
}

static void end_past(void *context)
{
	(void)context;
	month_run_past(&month);
}

static bool is_bad(void *context, const struct diag *row)
{
	return month_lines_is_bad(context, row->place.file, row->place.line);
}

/* Returns the status; ends the process if no page may be printed, as where a line cannot be read. */
static int answer(void)
{
	int error, status;

	if (book.unread && !tool.without_bad) {
		diags_filter(&book.diags, is_bad, &lines);
		book_tell(&book);
		book_end(&book);
	}
	error = month_answer(&month);
	status = book_end(&book);
	if (error)
		tool_fail("cannot hold the readings in a temporary file: %s", strerror(error));
	return status;
}

/* ---- the page */

static void write_html(const struct month_page *p, struct buf *out)
{
	struct buf command = BUF_INIT, commit = BUF_INIT, why = BUF_INIT;
	struct month_html how = { 0 };
	bool done = true;

	month_words(p, charge ? "wy-month{book} --charge=" : "wy-month{book} --{span}={name} --as=html", &command);
	if (charge)
		book_command_word(charge, &command);
	buf_str(&command, !charge ? "" : sheet ? " --as=html --sheet" : " --as=html");
	book_commit(&book, &commit);
	how.command = buf_slice(&command);
	how.commit = buf_slice(&commit);
	if (charge)
		done = sheet ? charge_sheet_write(p, &how, charge, out, &why) : charge_page_write(p, &how, charge, out, &why);
	else
		month_html_write(p, &how, out);
	if (!done)
		tool_misused("%s", buf_cstr(&why));
	buf_release(&command);
	buf_release(&commit);
}

static void print_page(void)
{
	const struct month_text how = { .width = tool_width(), .sparks = tool_width() && book_shows_utf8(), .plain = plain };
	const char **name = book_names(&book);
	struct buf options_of_book = BUF_INIT, out = BUF_INIT;
	struct month_page one = { .month = &month, .lines = &lines, .diags = &book.diags, .name = name };

	book_command(&options_of_book);
	one.book = buf_slice(&options_of_book);
	if (form == AS_HTML)
		write_html(&one, &out);
	else
		month_page_write(&one, &how, &out);
	tool_put_buf(&out);
	buf_release(&out);
	buf_release(&options_of_book);
	free(name);
}

int main(int argc, char **argv)
{
	struct halves h;
	struct month_days days;
	int status;

	tool_start(&page, argc, argv);
	check_options();
	book_start(&book, BOOK_QUIET | BOOK_PATTERNS | BOOK_HALVES);
	days = days_asked();
	book_stock_init(&book, &stock);
	book_stock_init(&book, &past_stock);
	month_init(&month, book.house, book.zone, days, &stock, &past_stock);
	month_lines_init(&lines, days);
	h.last = days.last;
	h.check = check_new(&book.vocab, book.house, book.zone, &book.diags,
		(struct check_files){ (uint32_t)book.npaths, CHECK_NO_FILE, book.path }, 0);
	book_read_halves(&book, &(struct book_half){ take_past, end_past, &h }, &(struct book_half){ take_now, end_now, &h });
	status = answer();
	print_page();
	if (book.diags.count[LEVEL_ERROR] || !lines.entries)
		status = TOOL_NO;
	check_free(h.check);
	month_lines_release(&lines);
	month_release(&month);
	stock_release(&stock);
	stock_release(&past_stock);
	return tool_finish(status);
}
