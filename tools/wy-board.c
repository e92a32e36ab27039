/* wy-board - the works as a folder of pages; wy-board(1). */
#include <stdlib.h>

#include "board/board.h"
#include "check/check.h"
#include "cli/book_command.h"
#include "cli/tool_book.h"
#include "due/due_find.h"

/* ---- options */

enum { BACK = 7, AHEAD = 7 }; /* days, as wy-due has them */

static bool quiet;

static const struct opt options[] = {
	OPT_FLAG('q', "quiet", &quiet, "do not report what was written"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_on_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-board",
	.purpose = "the works as a folder of pages, for a screen or a web server",
	.usage = "[options] DIR [FILE...]",
	.options = options,
	.exits = "0  done\n1  the book has errors or no entries; nothing is written if a line cannot be read\n"
		"2  usage error, or something could not be read or written",
	.example = "wy-board -b board\nthe pages in the folder board; open board/index.html",
};

static const char *folder_path;

static void take_folder(void)
{
	if (!tool.n_operands)
		tool_misused("name the folder for the pages, such as wy-board -b board");
	folder_path = tool.operands[0];
	tool.operands++;
	tool.n_operands--;
}

/* ---- reading */

static struct book book;
static struct stock stock, due_stock;  /* the list of what is due has other days than the month; the month's past is of its stock, too */
static struct month month;
static struct month_lines lines;
static struct due_book facts;
static struct due due;
static struct trace trace;             /* with the stock of what is due */
static int64_t later_lines;

static void take(const struct line *l, int32_t today)
{
	int64_t utc_s;

	if (l->stamp.day > today) {
		later_lines++;
		return;
	}
	book_instant(&book, &l->stamp, &utc_s);
	month_take(&month, l, utc_s);
	month_take_past(&month, l);
	due_book_take(&facts, l, utc_s);
	trace_take(&trace, l);
	book_stock_add(&book, &stock, l);
	book_stock_add(&book, &due_stock, l);
}

static bool is_bad(void *context, const struct diag *row)
{
	return month_lines_is_bad(context, row->place.file, row->place.line);
}

/* Later lines are not judged: on that day they were not written yet. */
static int read_book(struct check *check, int32_t today)
{
	const struct line *l;

	while ((l = book_next(&book))) {
		if (l->kind != LINE_EVENT || l->stamp.day <= today) {
			check_line(check, l);
			month_lines_take(&lines, l);
		}
		if (l->kind == LINE_EVENT)
			take(l, today);
		else
			due_book_take(&facts, l, 0);
	}
	check_end(check);
	if (book.unread && !tool.without_bad) {
		diags_filter(&book.diags, is_bad, &lines);
		book_tell(&book);
	}
	return book_end(&book);
}

static void take_flow(void *context, const struct stock_flow *f)
{
	due_book_flow(&facts, f);
	month_flow_past(&month, f);
	trace_flow(context, f);
}

static void answer(int32_t today)
{
	int error;

	month_run(&month);
	month_begin_past(&month);
	due_book_begin(&facts);
	stock_run(&due_stock, today, take_flow, &trace);
	due_book_end(&facts);
	month_end_past(&month);
	trace_settle(&trace);
	error = month_answer(&month);
	if (!error)
		error = due_book_answer(&facts);
	if (error)
		tool_fail("cannot hold the readings in a temporary file: %s", strerror(error));
	due_find(&due, &facts, &book.diags);
}

/* ---- writing */

static void report(const struct page_folder *folder)
{
	struct buf text = BUF_INIT;

	buf_printf(&text, "%s/index.html: %zu pages: %zu written, %zu unchanged, %zu removed\n", folder_path, folder->n, folder->written,
		folder->same, folder->removed);
	tool_put_buf(&text);
	buf_release(&text);
}

static void write_board(const struct board *board)
{
	struct page_folder folder;
	struct buf why = BUF_INIT;

	page_folder_init(&folder, folder_path);
	board_write(board, &folder);
	if (trace.readings.error)
		tool_fail("cannot hold the readings in a temporary file: %s", strerror(trace.readings.error));
	if (!page_folder_write(&folder, &why))
		tool_fail("%s", buf_cstr(&why));
	if (!quiet)
		report(&folder);
	page_folder_release(&folder);
	buf_release(&why);
}

static void write_pages(void)
{
	const char **name = book_names(&book);
	const struct due_view view = { &due, name, later_lines, due_close(&due, SLICE("")), true };
	struct buf options_of_book = BUF_INIT, command = BUF_INIT, commit = BUF_INIT;
	struct month_page one = { .month = &month, .lines = &lines, .diags = &book.diags, .name = name };
	struct board board = { .page = &one, .due = &view, .trace = &trace };

	book_command(&options_of_book);
	one.book = buf_slice(&options_of_book);
	buf_str(&command, "wy-board ");
	book_command_word(folder_path, &command);
	month_words(&one, " --on={last}{book}", &command);
	book_commit(&book, &commit);
	board.command = buf_slice(&command);
	board.commit = buf_slice(&commit);
	write_board(&board);
	buf_release(&options_of_book);
	buf_release(&command);
	buf_release(&commit);
	free(name);
}

static void init(int32_t today)
{
	const struct due_days days = { today - BACK + 1, today, today + AHEAD };

	book_stock_init(&book, &stock);
	book_stock_init(&book, &due_stock);
	month_init(&month, book.house, book.zone, month_days_so_far(today), &stock, &due_stock);
	month_lines_init(&lines, month.days);
	due_book_init(&facts, book.house, book.zone, days, &due_stock);
	due_init(&due, book.house, days);
	trace_init(&trace, book.house, book.zone, &due_stock, today);
}

static void release(void)
{
	trace_release(&trace);
	due_release(&due);
	due_book_release(&facts);
	month_lines_release(&lines);
	month_release(&month);
	stock_release(&stock);
	stock_release(&due_stock);
}

int main(int argc, char **argv)
{
	struct check *check;
	int32_t today;
	int status;

	tool_start(&page, argc, argv);
	take_folder();
	book_start(&book, BOOK_QUIET | BOOK_PATTERNS);
	today = book_today(&book);
	init(today);
	check = check_new(&book.vocab, book.house, book.zone, &book.diags,
		(struct check_files){ (uint32_t)book.npaths, CHECK_NO_FILE, book.path }, 0);
	status = read_book(check, today);
	answer(today);
	write_pages();
	if (book.diags.count[LEVEL_ERROR] || !lines.entries)
		status = TOOL_NO;
	check_free(check);
	release();
	return tool_finish(status);
}
