#include "cli/tool.h"

#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/ioctl.h>
#include <sys/stat.h>
#include <time.h>
#include <unistd.h>

#include "base/nearest.h"
#include "base/packed.h"
#include "base/spill.h"
#include "base/utf8.h"
#include "cli/output.h"
#include "cli/progress.h"
#include "time/stamp.h"

struct tool tool = { .name = "wy", .form = -1 };

/* Options that tools have in common */

static const char *const marks_words[] = { "auto", "yes", "no", NULL };

const struct opt tool_house_options[] = {
	OPT_TEXT('H', "house", &tool.house, "FILE",
		"the house file; else $WITHY_HOUSE, else house.yaml here or in the nearest directory above"),
	OPT_FLAG('b', "book", &tool.book, "read the book that the house file names"),
	OPT_END
};

const struct opt tool_column_options[] = {
	OPT_TEXT(0, "columns", &tool.columns, "NAME,...", "only these columns, in this order"),
	OPT_FLAG(0, "all-columns", &tool.all_columns, "text, md and html: every column"),
	OPT_END
};

const struct opt tool_form_options[] = {
	OPT_WORD(0, "as", &tool.form, table_form_words,
		"form of the answer; else text on a terminal and tsv elsewhere"),
	OPT_FLAG(0, "no-header", &tool.no_header, "leave out the header row"),
	OPT_PART(tool_column_options),
	OPT_END
};

const struct opt tool_on_options[] = {
	OPT_DAY(0, "on", &tool.on, "the day of the answer; else $WITHY_TODAY, else today"),
	OPT_END
};

const struct opt tool_bad_options[] = {
	OPT_FLAG(0, "without-bad", &tool.without_bad, "skip lines that cannot be read, report their number, and exit 1"),
	OPT_END
};

const struct opt tool_stream_options[] = {
	OPT_FLAG(0, "at-once", &tool.line_buffered, "write each line at once"),
	OPT_END
};

const struct opt tool_mark_options[] = {
	OPT_WORD(0, "marks", &tool.marks, marks_words, "mark levels: an error reversed, a warning\nunderlined (auto: only on a terminal)"),
	OPT_END
};

const struct opt tool_answer_options[] = {
	OPT_PART(tool_house_options),
	OPT_PART(tool_form_options),
	OPT_PART(tool_on_options),
	OPT_PART(tool_bad_options),
	OPT_END
};

/* Words on standard error */

static unsigned width_of(int descriptor)
{
	struct winsize size;

	return isatty(descriptor) && !ioctl(descriptor, TIOCGWINSZ, &size) ? size.ws_col : 0;
}

void tool_tell(struct slice line)
{
	unsigned width = width_of(STDERR_FILENO);
	size_t head = slice_find(line, ' ');
	struct buf out = BUF_INIT;

	progress_clear();
	buf_add(&out, slice_upto(line, head));
	if (head < line.n)
		utf8_add_wrapped(&out, slice_from(line, head + 1), utf8_width(slice_upto(line, head)), width ? width : SIZE_MAX);
	buf_char(&out, '\n');
	fwrite(out.p, 1, out.n, stderr);
	buf_release(&out);
}

static void say(const char *fmt, va_list ap)
{
	char raw[1000];
	struct buf line = BUF_INIT;

	vsnprintf(raw, sizeof raw, fmt, ap);
	buf_printf(&line, "%s: ", tool.name);
	utf8_add_visible(&line, slice_of(raw));
	tool_tell(buf_slice(&line));
	buf_release(&line);
}

void tool_warn(const char *fmt, ...)
{
	va_list ap;

	va_start(ap, fmt);
	say(fmt, ap);
	va_end(ap);
}

/* The end without going through main: what is held is not freed and nothing else may print. */
static _Noreturn void leave(void)
{
	fflush(stderr);
	_exit(TOOL_WRONG);
}

static _Noreturn void output_failed(const char *why)
{
	tool_warn("cannot write standard output: %s", why);
	leave();
}

void tool_give_up(void)
{
	output_incomplete();
	leave();
}

void tool_fail(const char *fmt, ...)
{
	va_list ap;

	va_start(ap, fmt);
	say(fmt, ap);
	va_end(ap);
	tool_give_up();
}

void tool_misused(const char *fmt, ...)
{
	va_list ap;

	va_start(ap, fmt);
	say(fmt, ap);
	va_end(ap);
	tool_warn("see %s --help", tool.name);
	tool_give_up();
}

static _Noreturn void no_such_word(const char *option, struct slice word, const char *const *words)
{
	struct slice near = nearest_cstr(word, words);
	struct buf all = BUF_INIT;

	for (size_t i = 0; words[i]; i++) {
		buf_str(&all, i ? ", " : "");
		buf_str(&all, words[i]);
	}
	tool_misused("%s: '%.*s' is not one of %s%s%.*s%s", option, (int)(word.n < 60 ? word.n : 60), word.p, buf_cstr(&all),
		near.n ? "; perhaps " : "", (int)near.n, near.p, near.n ? "?" : "");
}

static size_t word_at(const char *option, struct slice word, const char *const *words)
{
	for (size_t i = 0; words[i]; i++)
		if (slice_eq(slice_of(words[i]), word))
			return i;
	no_such_word(option, word, words);
}

size_t tool_words(const char *option, const char *text, const char *const *words, size_t *chosen)
{
	struct slice left = slice_of(text);
	size_t n = 0;

	for (bool more = left.n > 0; more;) {
		size_t end = slice_find(left, ','), word = word_at(option, slice_upto(left, end), words);

		for (size_t i = 0; i < n; i++)
			if (chosen[i] == word)
				tool_misused("%s: %s is given twice", option, words[word]);
		chosen[n++] = word;
		more = end < left.n;
		left = slice_from(left, more ? end + 1 : end);
	}
	return n;
}

const char *tool_one_table(const char *const *given, size_t n)
{
	const char *one = NULL;

	for (size_t i = 0; i < n; i++) {
		if (one && given[i])
			tool_misused("%s and %s give different tables; give only one of them", one, given[i]);
		one = given[i] ? given[i] : one;
	}
	return one;
}

/* Takes no memory. */
static void out_of_memory(void)
{
	fputs(tool.name, stderr);
	fputs(": out of memory\n", stderr);
	tool_give_up();
}

static void out_of_file(int error)
{
	tool_fail("cannot hold the lines of the book in a temporary file: %s; set TMPDIR to a folder with more space", strerror(error));
}

/* Output */

void tool_put(struct slice s)
{
	if (!s.n)
		return;
	if (!output_started())
		progress_output();
	if (!output_add(s))
		output_failed(strerror(errno));
}

void tool_flush(void)
{
	if (!output_flush())
		output_failed(strerror(errno));
}

void tool_put_buf(struct buf *b)
{
	tool_put(buf_slice(b));
	b->n = 0;
}

int tool_form(void)
{
	if (tool.form >= 0)
		return tool.form;
	return isatty(STDOUT_FILENO) ? TABLE_AS_TEXT : TABLE_AS_TSV;
}

unsigned tool_width(void)
{
	return width_of(STDOUT_FILENO);
}

/* ---- the columns of --columns */

static bool any_has(const struct table *const *tables, size_t n, const char *name)
{
	for (size_t i = 0; i < n; i++)
		if (table_has_column(tables[i], name))
			return true;
	return false;
}

/* The names of all columns, ended by NULL; the caller frees the array. */
static const char **all_names(const struct table *const *tables, size_t n)
{
	const char **names = NULL;
	size_t n_names = 0, cap = 0;

	for (size_t i = 0; i < n; i++)
		for (size_t c = 0; c < tables[i]->n_columns; c++) {
			names = mem_grow(names, &cap, n_names + 1, sizeof *names);
			names[n_names++] = tables[i]->columns[c].name;
		}
	names = mem_grow(names, &cap, n_names + 1, sizeof *names);
	names[n_names] = NULL;
	return names;
}

static _Noreturn void unknown_column(const struct table *const *tables, size_t n, const char *name)
{
	const char **names = all_names(tables, n);
	struct slice near = nearest_cstr(slice_of(name), names);
	struct buf all = BUF_INIT;

	for (size_t i = 0; names[i]; i++)
		buf_printf(&all, i ? ", %s" : "%s", names[i]);
	if (near.n)
		tool_misused("--columns: this answer has no column '%s'; perhaps %.*s?", name, (int)near.n, near.p);
	tool_misused("--columns: this answer has no column '%s'; it has %s", name, buf_cstr(&all));
}

/* --columns as an array of names, cut from a copy that lives as long as the process. */
static const char **named_columns(size_t *n)
{
	static const char **names;
	static size_t count;
	char *left = names || !tool.columns ? NULL : mem_copy(tool.columns, strlen(tool.columns));
	size_t cap = 0;

	while (left) {
		char *comma = strchr(left, ',');

		names = mem_grow(names, &cap, count + 1, sizeof *names);
		names[count++] = left;
		if (comma)
			*comma++ = '\0';
		left = comma;
	}
	*n = count;
	return names;
}

struct table_style tool_style(const struct table *const *tables, size_t n)
{
	struct table_style style = { .form = (enum table_form)tool_form(), .no_header = tool.no_header,
		.width = tool_width(), .all_columns = tool.all_columns };

	style.columns = named_columns(&style.n_columns);
	for (size_t i = 0; i < style.n_columns; i++) {
		if (!any_has(tables, n, style.columns[i]))
			unknown_column(tables, n, style.columns[i]);
		for (size_t before = 0; before < i; before++)
			if (strcmp(style.columns[before], style.columns[i]) == 0)
				tool_misused("--columns: %s is named twice", style.columns[i]);
	}
	return style;
}

void tool_print_table(const struct table *t)
{
	struct buf b = BUF_INIT;

	table_write(t, tool_style(&t, 1), &b);
	tool_put_buf(&b);
	buf_release(&b);
}

int tool_end_table(struct table *t, int status)
{
	bool any = table_rows(t) > 0;

	tool_print_table(t);
	table_release(t);
	return any ? status : TOOL_NO;
}

void tool_print_tables(const struct table *const *tables, size_t n)
{
	struct buf b = BUF_INIT;

	tables_write(tables, n, tool_style(tables, n), &b);
	tool_put_buf(&b);
	buf_release(&b);
}

static void begin_rows(struct table *t, struct table_style style, struct buf *out)
{
	static bool begun;

	if (!begun)
		table_begin(t, style, out);
	begun = true;
}

void tool_print_rows(struct table *t)
{
	const struct table *one = t;
	struct table_style style = tool_style(&one, 1);
	struct buf b = BUF_INIT;

	begin_rows(t, style, &b);
	table_flush(t, style, &b);
	tool_put_buf(&b);
	buf_release(&b);
}

void tool_print_rest(struct table *t)
{
	const struct table *one = t;
	struct table_style style = tool_style(&one, 1);
	struct buf b = BUF_INIT;

	begin_rows(t, style, &b);
	table_end(t, style, &b);
	tool_put_buf(&b);
	buf_release(&b);
}

int tool_finish(int status)
{
	progress_clear();
	if (!output_end())
		output_failed(strerror(errno));
	return status;
}

/* Start */

/*
 * A descriptor that was closed is opened on /dev/null the wrong way round, so that using it fails
 * as before, and no file opened later gets its number and with it what is meant for the other.
 */
static void take_descriptors(void)
{
	for (int fd = STDIN_FILENO; fd <= STDERR_FILENO; fd++)
		if (fcntl(fd, F_GETFD) < 0 && errno == EBADF
				&& open("/dev/null", fd == STDIN_FILENO ? O_WRONLY : O_RDONLY) != fd)
			_exit(TOOL_WRONG);
}

/* A write beyond the limit of a file's size (ulimit -f) fails as one on a full disk does. */
static void ignore_sigxfsz(void)
{
	struct sigaction act = { .sa_handler = SIG_IGN };

	sigemptyset(&act.sa_mask);
	sigaction(SIGXFSZ, &act, NULL);
}

static void let_sigpipe_end(void)
{
	struct sigaction act = { .sa_handler = SIG_DFL };
	sigset_t pipe_only;

	sigemptyset(&act.sa_mask);
	sigaction(SIGPIPE, &act, NULL);
	sigemptyset(&pipe_only);
	sigaddset(&pipe_only, SIGPIPE);
	sigprocmask(SIG_UNBLOCK, &pipe_only, NULL);
}

static _Noreturn void print_and_leave(struct buf *b)
{
	tool_put_buf(b);
	tool_finish(TOOL_DONE);
	_exit(TOOL_DONE);
}

static void act_on(const struct opt_result *result, const struct opt_page *page)
{
	struct buf b = BUF_INIT;

	switch (result->outcome) {
	case OPT_GO:
		return;
	case OPT_WRONG:
		tool_misused("%s", result->error);
	case OPT_HELP:
		opt_help(page, &b);
		break;
	case OPT_VERSION:
		buf_printf(&b, "%s (Withy) %s\n", page->name, WITHY_VERSION);
		break;
	case OPT_OPTIONS:
		opt_describe(page->options, &b);
		break;
	}
	print_and_leave(&b);
}

void tool_start(const struct opt_page *page, int argc, char **argv)
{
	struct opt_result result;

	tool.name = page->name;
	take_descriptors();
	let_sigpipe_end();
	ignore_sigxfsz();
	mem_on_failure(out_of_memory);
	spill_on_failure(out_of_file);
	result = opt_parse(page->options, argc, argv);
	output_start(tool.line_buffered);
	act_on(&result, page);
	tool.operands = argv + (argc ? result.first : 0);
	tool.n_operands = argc ? (size_t)(argc - result.first) : 0;
}

/* Input */

bool tool_tell_errors(struct buf *lines)
{
	bool any = lines->n > 0;

	if (any)
		fputs(buf_cstr(lines), stderr);
	buf_release(lines);
	return any;
}

const char *tool_path_name(const char *path)
{
	return strcmp(path, "-") == 0 ? "standard input" : path;
}

void tool_hint(void)
{
	static bool said;

	if (said || !isatty(STDIN_FILENO))
		return;
	said = true;
	tool_warn("reading standard input from the terminal; end it with Ctrl-D (see %s --help)", tool.name);
}

static bool cannot(struct buf *error, const char *path, const char *why)
{
	error->n = 0;
	buf_printf(error, "cannot read %s: %s", tool_path_name(path), why);
	return false;
}

enum { PIECE = 1 << 16 };

/* Reads up to `more` bytes behind those of `into`: how many, 0 at the end, -1 on error. */
static ssize_t read_behind(int fd, size_t more, struct buf *into)
{
	ssize_t got;

	into->p = mem_grow(into->p, &into->cap, into->n + more, 1);
	do
		got = read(fd, into->p + into->n, more);
	while (got < 0 && errno == EINTR);
	if (got > 0)
		into->n += (size_t)got;
	return got;
}

/* All from `fd` to its end; `promised` bytes are expected and space is made for them. */
static bool read_to_end(int fd, size_t promised, struct buf *into)
{
	ssize_t got;

	into->p = mem_grow(into->p, &into->cap, promised + 1, 1);
	do
		got = read_behind(fd, into->cap > into->n ? into->cap - into->n : PIECE, into);
	while (got > 0);
	return got == 0;
}

/* The first bytes of `fd`, as many as show whether it is packed. */
static bool read_start(int fd, struct buf *into)
{
	ssize_t got;

	do
		got = read_behind(fd, PACKED_MAGIC - into->n, into);
	while (got > 0 && into->n < PACKED_MAGIC && packed_may_start((unsigned char)*into->p));
	return got >= 0;
}

/* Puts what the packed data in `into` and the rest of `fd` unpack to in its place. */
static bool unpack(int fd, const char *path, struct buf *into, struct buf *error)
{
	struct packed *p = packed_open(fd, buf_slice(into));
	struct buf why = BUF_INIT;
	long got;

	into->n = 0;
	do {
		into->p = mem_grow(into->p, &into->cap, into->n + PIECE, 1);
		got = packed_next(p, into->p + into->n, into->cap - into->n);
		into->n += got > 0 ? (size_t)got : 0;
	} while (got > 0);
	if (got < 0) {
		packed_error_write(&why, packed_error(p), packed_at(p));
		cannot(error, path, buf_cstr(&why));
	}
	buf_release(&why);
	packed_close(p);
	return got == 0;
}

/* The bytes of a regular file after the position of `fd`; 0 for other files. */
static size_t bytes_left(int fd, const struct stat *st)
{
	off_t at = S_ISREG(st->st_mode) ? lseek(fd, 0, SEEK_CUR) : -1;

	return at >= 0 && st->st_size > at ? (size_t)(st->st_size - at) : 0;
}

static bool read_open(int fd, const char *path, struct buf *into, struct buf *error)
{
	struct stat st;
	size_t promised;

	if (fstat(fd, &st) < 0)
		return cannot(error, path, strerror(errno));
	if (S_ISDIR(st.st_mode))
		return cannot(error, path, "it is a directory");
	promised = bytes_left(fd, &st);
	if (!read_start(fd, into))
		return cannot(error, path, strerror(errno));
	if (packed_kind(buf_slice(into)) != PACKED_NOT)
		return unpack(fd, path, into, error);
	if (!read_to_end(fd, promised, into))
		return cannot(error, path, strerror(errno));
	if (into->n < promised)
		return cannot(error, path, "it became shorter while it was read");
	return true;
}

bool tool_read(const char *path, struct buf *into, struct buf *error)
{
	int fd = STDIN_FILENO;
	bool done;

	into->n = 0;
	if (strcmp(path, "-") == 0)
		tool_hint();
	else
		fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
	if (fd < 0)
		return cannot(error, path, strerror(errno));
	done = read_open(fd, path, into, error);
	if (fd != STDIN_FILENO)
		close(fd);
	return done;
}

void tool_must_read(const char *path, struct buf *into)
{
	struct buf error = BUF_INIT;

	if (!tool_read(path, into, &error))
		tool_fail("%s", buf_cstr(&error));
	buf_release(&error);
}

/* The day */

/* The day at `seconds` since 1970 on a clock without leap seconds. */
static int32_t day_at(int64_t seconds)
{
	if (seconds < day_seconds(day_of(1, 1, 1)) || seconds >= day_seconds(day_of(9999, 12, 31) + 1))
		tool_fail("the clock of this machine is beyond the calendar; give the day, such as --on=2026-03-05");
	return seconds_day(seconds);
}

int32_t tool_today(int64_t (*offset_s)(int64_t utc_s, const void *clock), const void *clock)
{
	const char *today = getenv("WITHY_TODAY");
	int32_t day = 0;
	int64_t now;

	if (tool.on.text)
		return tool.on.day;
	if (today && *today) {
		if (date_read(slice_of(today), &day) != DATE_OK)
			tool_fail("WITHY_TODAY=%s is not a valid date; write it as YYYY-MM-DD", today);
		return day;
	}
	now = (int64_t)time(NULL);
	return day_at(now + (offset_s ? offset_s(now, clock) : 0));
}

bool tool_marked(int fd)
{
	const char *no_color = getenv("NO_COLOR"), *term = getenv("TERM");

	if (tool.marks != TOOL_MARKS_AUTO)
		return tool.marks == TOOL_MARKS_YES;
	return !(no_color && *no_color) && term && *term && strcmp(term, "dumb") != 0 && isatty(fd);
}
