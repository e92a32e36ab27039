/* wy-month - the month of the works on one page; wy-month(1). */
#include "check/check.h"
#include "cli/tool_book.h"
#include "month/month_lines.h"
#include "month/month_page.h"

/* ---- options */

static const char *month_text;

static const struct opt options[] = {
	OPT_TEXT(0, "month", &month_text, "YYYY-MM", "the month; default: the month before $WITHY_TODAY or before today"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-month",
	.purpose = "the month of the works on one page",
	.usage = "[--month=YYYY-MM] [options] [FILE...]",
	.options = options,
	.exits = "0  done\n1  the book has errors or no entries; no page is printed if a line cannot be read\n"
		"2  usage error, or something could not be read or written",
	.example = "wy-month -b --month 2027-12 | less\nthe page of December 2027, for the house.yaml of this directory",
};

/* ---- the month */

static struct book book;

static struct month_days days_of(int32_t first)
{
	int year, month, date;

	day_split(first, &year, &month, &date);
	return (struct month_days){ first - date + 1, first - date + month_length(year, month) };
}

/* The days of --month, whose text is the beginning of a date. */
static struct month_days named_month(void)
{
	struct buf first = BUF_INIT;
	int32_t day;

	buf_printf(&first, "%s-01", month_text);
	if (date_read(buf_slice(&first), &day) != DATE_OK)
		tool_misused("'%s' is not a valid month; write it as YYYY-MM, such as 2027-12", month_text);
	buf_release(&first);
	return days_of(day);
}

/* The month before today. */
static struct month_days last_month(void)
{
	int32_t day = day_months_before(book_today(&book), 1);

	if (day == INT32_MIN)
		tool_fail("no month is before the year 1; name one, such as --month=2027-12");
	return days_of(day);
}

/* ---- reading */

static struct stock stock;
static struct month month;
static struct month_lines lines;

static void take(const struct line *l, int32_t last)
{
	int64_t utc_s;

	book_instant(&book, &l->stamp, &utc_s);
	month_take(&month, l, utc_s);
	if (l->stamp.day <= last)
		book_stock_add(&book, &stock, l);
}

static bool is_bad(void *context, const struct diag *row)
{
	return month_lines_is_bad(context, row->place.file, row->place.line);
}

/* Every line goes to the checks and to the answers. Returns the status; ends the process if no page may be printed. */
static int read_book(struct check *check, int32_t last)
{
	const struct line *l;

	while ((l = book_next(&book))) {
		check_line(check, l);
		month_lines_take(&lines, l);
		if (l->kind == LINE_EVENT)
			take(l, last);
	}
	check_end(check);
	if (book.unread && !tool.without_bad) {
		diags_filter(&book.diags, is_bad, &lines);
		book_tell(&book);
	}
	return book_end(&book);
}

/* ---- the page */

static void print_page(void)
{
	const char **name = mem_array(book.npaths, sizeof *name);
	const struct month_page one = { &month, &lines, &book.diags, name };
	struct buf out = BUF_INIT;

	for (size_t i = 0; i < book.npaths; i++)
		name[i] = tool_path_name(book.path[i]);
	month_page_write(&one, &out);
	tool_put_buf(&out);
	buf_release(&out);
	free(name);
}

int main(int argc, char **argv)
{
	struct month_days days;
	struct check *check;
	int status, error;

	tool_start(&page, argc, argv);
	book_start(&book, BOOK_QUIET | BOOK_PATTERNS);
	days = month_text ? named_month() : last_month();
	book_stock_init(&book, &stock);
	month_init(&month, book.house, book.zone, days, &stock);
	month_lines_init(&lines, days);
	check = check_new(&book.vocab, book.house, book.zone, &book.diags,
		(struct check_files){ (uint32_t)book.npaths, CHECK_NO_FILE, book.path }, 0);
	check_expect(check, book_bytes(&book));
	status = read_book(check, days.last);
	error = month_answer(&month);
	if (error)
		tool_fail("cannot hold the readings in a temporary file: %s", strerror(error));
	print_page();
	if (book.diags.count[LEVEL_ERROR] || !lines.entries)
		status = TOOL_NO;
	check_free(check);
	month_lines_release(&lines);
	month_release(&month);
	stock_release(&stock);
	return tool_finish(status);
}
