/*
 * tool.c: start, failure and finish, each in a process of its own whose descriptors are set up
 * badly on purpose; reading; the day; forms and marks on a terminal and off it.
 */
#include <errno.h>
#include <fcntl.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

#include "cli/tool.h"
#include "time/stamp.h"
#include "check.h"

static const struct opt options[] = {
	OPT_PART(tool_answer_options),
	OPT_PART(tool_stream_options),
	OPT_PART(tool_mark_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-test", .purpose = "tests the start and the finish", .usage = "[options] [FILE...]", .options = options,
};

/* A process: what it does, and how its descriptors are set before. */
struct child {
	void (*work)(void);
	void (*before)(void); /* may be NULL */
	const char *args[5];
};

static struct {
	int status; /* of the exit, or minus the signal */
	struct buf out, err;
} ended;

static void slurp(FILE *f, struct buf *b)
{
	int c;

	b->n = 0;
	rewind(f);
	while ((c = getc(f)) != EOF)
		buf_char(b, (char)c);
	fclose(f);
}

static _Noreturn void be(const struct child *child)
{
	char *argv[7] = { (char[]){ "wy-test" } };
	int n = 1;

	for (; n <= 5 && child->args[n - 1]; n++)
		argv[n] = mem_copy(child->args[n - 1], strlen(child->args[n - 1]));
	if (child->before)
		child->before();
	tool_start(&page, n, argv);
	child->work();
	_exit(tool_finish(TOOL_DONE));
}

static void run(struct child child)
{
	FILE *out = tmpfile(), *err = tmpfile();
	pid_t pid;
	int status = 0;

	fflush(stdout);
	pid = fork();
	if (pid == 0) {
		dup2(fileno(out), STDOUT_FILENO);
		dup2(fileno(err), STDERR_FILENO);
		be(&child);
	}
	waitpid(pid, &status, 0);
	ended.status = WIFEXITED(status) ? WEXITSTATUS(status) : -WTERMSIG(status);
	slurp(out, &ended.out);
	slurp(err, &ended.err);
}

#define ENDED(status_, out_, err_) do { \
	CHECK_INT(ended.status, status_); \
	CHECK_TEXT(buf_slice(&ended.out), out_); \
	CHECK_TEXT(buf_slice(&ended.err), err_); \
} while (0)

static void nothing(void)
{
}

static void put_line(void)
{
	tool_put(SLICE("lot\tcount\n"));
}

static void put_much(void)
{
	for (int i = 0; i < 100000; i++)
		tool_put(SLICE("0123456789\n"));
}

static void finish_with_no(void)
{
	put_line();
	_exit(tool_finish(TOOL_NO));
}

/* Output */

static void out_full(void)
{
	dup2(open("/dev/full", O_WRONLY), STDOUT_FILENO);
}

static void out_closed(void)
{
	close(STDOUT_FILENO);
}

static void good_ends(void)
{
	run((struct child){ put_line, NULL, { NULL } });
	ENDED(0, "lot\tcount\n", "");
	run((struct child){ finish_with_no, NULL, { NULL } });
	ENDED(1, "lot\tcount\n", "");
	run((struct child){ nothing, NULL, { NULL } });
	ENDED(0, "", "");
	run((struct child){ put_much, NULL, { NULL } });
	CHECK_INT(ended.status, 0);
	CHECK_INT(ended.out.n, 1100000);
}

#define FULL "wy-test: cannot write standard output: No space left on device\n"
#define CLOSED "wy-test: cannot write standard output: Bad file descriptor\n"

static void lost_output(void)
{
	run((struct child){ put_line, out_full, { NULL } });
	ENDED(2, "", FULL);
	run((struct child){ put_much, out_full, { NULL } });
	ENDED(2, "", FULL);
	run((struct child){ put_line, out_full, { "--at-once", NULL } });
	ENDED(2, "", FULL);
	run((struct child){ finish_with_no, out_full, { NULL } });
	ENDED(2, "", FULL);
	run((struct child){ nothing, out_full, { "--help", NULL } });
	ENDED(2, "", FULL);
	run((struct child){ nothing, out_full, { NULL } });
	ENDED(0, "", "");
	run((struct child){ put_line, out_closed, { NULL } });
	ENDED(2, "", CLOSED);
	run((struct child){ put_much, out_closed, { NULL } });
	ENDED(2, "", CLOSED);
	run((struct child){ nothing, out_closed, { "--version", NULL } });
	ENDED(2, "", CLOSED);
	run((struct child){ nothing, out_closed, { NULL } });
	ENDED(0, "", "");
}

/* Whoever started us may have ignored and blocked SIGPIPE; it ends us all the same, without a word. */
static void out_to_nobody(void)
{
	int ends[2];
	sigset_t pipe_only;

	signal(SIGPIPE, SIG_IGN);
	sigemptyset(&pipe_only);
	sigaddset(&pipe_only, SIGPIPE);
	sigprocmask(SIG_BLOCK, &pipe_only, NULL);
	if (pipe(ends) == 0) {
		dup2(ends[1], STDOUT_FILENO);
		close(ends[0]);
	}
}

static void put_unheard(void)
{
	signal(SIGPIPE, SIG_IGN);
	put_line();
}

static void broken_pipe(void)
{
	run((struct child){ put_line, out_to_nobody, { NULL } });
	ENDED(-SIGPIPE, "", "");
	run((struct child){ put_unheard, out_to_nobody, { NULL } });
	ENDED(2, "", "wy-test: cannot write standard output: Broken pipe\n");
}

/* A file opened later must not get the number of a descriptor that was closed. */
static const char *scratch; /* a folder */

static void all_closed(void)
{
	for (int fd = 0; fd <= 2; fd++)
		close(fd);
}

static const char *in_scratch(const char *name)
{
	static char path[200];

	snprintf(path, sizeof path, "%s/%s", scratch, name);
	return path;
}

static void open_and_warn(void)
{
	int fd = open(in_scratch("innocent"), O_WRONLY | O_CREAT | O_TRUNC, 0666);

	tool_warn("words for nobody");
	if (fd > 2 && write(fd, "mine\n", 5) == 5)
		tool_fail("more words");
}

static void closed_descriptors(void)
{
	struct buf b = BUF_INIT, error = BUF_INIT;

	run((struct child){ open_and_warn, all_closed, { NULL } });
	ENDED(2, "", "");
	CHECK(tool_read(in_scratch("innocent"), &b, &error));
	CHECK_TEXT(buf_slice(&b), "mine\n");
	buf_release(&b);
	buf_release(&error);
}

/* Failing */

static void fail_at_once(void)
{
	tool_fail("cannot go on: %s", "a\tb\x1b[31m");
}

static void fail_after_line(void)
{
	put_line();
	tool_fail("cannot go on");
}

static void fail_in_line(void)
{
	tool_put(SLICE("lot\tcou"));
	tool_put(SLICE(""));
	tool_fail("cannot go on");
}

static void give_up(void)
{
	put_line();
	tool_give_up();
}

static void misuse(void)
{
	tool_misused("-b and FILE do not go together");
}

static void no_memory(void)
{
	put_line();
	free(mem_array(SIZE_MAX, 8));
}

static void long_words(void)
{
	char *words = mem_array(100001, 1);

	memset(words, 'x', 100000);
	words[100000] = '\0';
	tool_warn("%s", words);
	free(words);
}

static void failures(void)
{
	run((struct child){ fail_at_once, NULL, { NULL } });
	ENDED(2, "", "wy-test: cannot go on: a\\tb\\x1b[31m\n");
	run((struct child){ fail_after_line, NULL, { NULL } });
	ENDED(2, "lot\tcount\n#! incomplete\n", "wy-test: cannot go on\n");
	run((struct child){ fail_in_line, NULL, { NULL } });
	ENDED(2, "lot\tcou\n#! incomplete\n", "wy-test: cannot go on\n");
	run((struct child){ fail_after_line, out_full, { NULL } });
	CHECK_INT(ended.status, 2);
	run((struct child){ give_up, NULL, { NULL } });
	ENDED(2, "lot\tcount\n#! incomplete\n", "");
	run((struct child){ misuse, NULL, { NULL } });
	ENDED(2, "", "wy-test: -b and FILE do not go together\nwy-test: see wy-test --help\n");
	run((struct child){ no_memory, NULL, { NULL } });
	ENDED(2, "lot\tcount\n#! incomplete\n", "wy-test: out of memory\n");
	run((struct child){ long_words, NULL, { NULL } });
	CHECK_INT(ended.status, 0);
	CHECK(ended.err.n > 900 && ended.err.n < 1100 && ended.err.p[ended.err.n - 1] == '\n');
}

static void own_options(void)
{
	struct buf want = BUF_INIT;

	opt_help(&page, &want);
	run((struct child){ put_line, NULL, { "x", "--help", NULL } });
	ENDED(0, buf_cstr(&want), "");
	run((struct child){ put_line, NULL, { "--version", NULL } });
	ENDED(0, "wy-test (Withy) " WITHY_VERSION "\n", "");
	want.n = 0;
	opt_describe(options, &want);
	run((struct child){ put_line, NULL, { "--help-options", NULL } });
	ENDED(0, buf_cstr(&want), "");
	run((struct child){ put_line, NULL, { "--huose", NULL } });
	ENDED(2, "", "wy-test: unknown option --huose; perhaps --house?\nwy-test: see wy-test --help\n");
	run((struct child){ put_line, NULL, { "--on=2026-02-30", NULL } });
	ENDED(2, "", "wy-test: --on=2026-02-30 is not a valid date; write it as YYYY-MM-DD\nwy-test: see wy-test --help\n");
	buf_release(&want);
}

static void tell_common(void)
{
	struct buf b = BUF_INIT;

	buf_printf(&b, "%s|%d|%d|%d|%s|%d|%d|%d|%zu", tool.house, tool.book, tool.form, tool.no_header,
		tool.on.text ? tool.on.text : "", tool.without_bad, tool.line_buffered, tool.marks, tool.n_operands);
	for (size_t i = 0; tool.operands[i]; i++)
		buf_printf(&b, "|%s", tool.operands[i]);
	tool_put_buf(&b);
	buf_release(&b);
}

static void common_options(void)
{
	run((struct child){ tell_common, NULL, { "-bHh.yaml", "a.wy", "--without-bad", "--marks=no", "-" } });
	ENDED(0, "h.yaml|1|-1|0||1|0|2|2|a.wy|-", "");
	run((struct child){ tell_common, NULL, { "--as=json", "--no-header", "--on=2026-12-31", "--at-once", "--house=" } });
	ENDED(0, "|0|3|1|2026-12-31|0|1|0|0", "");
}

static void put_and_die(void)
{
	put_line();
	_exit(0);
}

static void buffering(void)
{
	run((struct child){ put_and_die, NULL, { "--at-once", NULL } });
	ENDED(0, "lot\tcount\n", "");
	run((struct child){ put_and_die, NULL, { NULL } });
	ENDED(0, "", "");
}

/* Tables, forms, a terminal */

static void print_table(void)
{
	struct table t;
	const struct table *both[] = { &t, &t };

	table_init(&t, (const struct table_column[]){ { "lot", TABLE_TEXT, 0, NULL }, { "mc_pct", TABLE_REAL, 1, NULL } }, 2);
	table_title(&t, SLICE("Moisture"), "moisture");
	table_cstr(&t, "L061");
	table_real(&t, 9.3125);
	if (tool.book)
		tool_print_tables(both, 2);
	else
		tool_print_table(&t);
	table_release(&t);
}

/* Standard output and error become a terminal of our own; what is written to it is not read. */
static void on_terminal(void)
{
	int master = posix_openpt(O_RDWR | O_NOCTTY), slave = -1;

	if (master >= 0 && grantpt(master) == 0 && unlockpt(master) == 0)
		slave = open(ptsname(master), O_RDWR | O_NOCTTY);
	if (slave < 0)
		_exit(99); /* no terminal to be had: the checks below fail */
	dup2(slave, STDOUT_FILENO);
	dup2(slave, STDIN_FILENO);
}

static void with_term(void)
{
	setenv("TERM", "xterm", 1);
	unsetenv("NO_COLOR");
	on_terminal();
}

static void with_no_color(void)
{
	with_term();
	setenv("NO_COLOR", "1", 1);
}

static void with_empty_no_color(void)
{
	with_term();
	setenv("NO_COLOR", "", 1);
}

static void with_dumb_term(void)
{
	with_term();
	setenv("TERM", "dumb", 1);
}

static void without_term(void)
{
	with_term();
	unsetenv("TERM");
}

static void term_but_file(void)
{
	setenv("TERM", "xterm", 1);
	unsetenv("NO_COLOR");
}

static void exit_with_form(void)
{
	_exit(tool_form());
}

static void exit_with_marks(void)
{
	_exit(tool_marked(STDOUT_FILENO));
}

static int status_of(void (*work)(void), void (*before)(void), const char *arg)
{
	run((struct child){ work, before, { arg } });
	return ended.status;
}

static void forms(void)
{
	CHECK_INT(status_of(exit_with_form, NULL, NULL), TABLE_AS_TSV);
	CHECK_INT(status_of(exit_with_form, NULL, "--as=md"), TABLE_AS_MD);
	CHECK_INT(status_of(exit_with_form, on_terminal, NULL), TABLE_AS_TEXT);
	CHECK_INT(status_of(exit_with_form, on_terminal, "--as=tsv"), TABLE_AS_TSV);
	run((struct child){ print_table, NULL, { NULL } });
	ENDED(0, "lot\tmc_pct\nL061\t9.3125\n", "");
	run((struct child){ print_table, NULL, { "--as=text", "--no-header" } });
	ENDED(0, "Moisture\nL061  9.3\n", "");
	run((struct child){ print_table, NULL, { "-b" } });
	ENDED(0, "# Moisture\nlot\tmc_pct\nL061\t9.3125\n\n# Moisture\nlot\tmc_pct\nL061\t9.3125\n", "");
}

static void marks(void)
{
	CHECK_INT(status_of(exit_with_marks, with_term, NULL), 1);
	CHECK_INT(status_of(exit_with_marks, with_empty_no_color, NULL), 1);
	CHECK_INT(status_of(exit_with_marks, with_no_color, NULL), 0);
	CHECK_INT(status_of(exit_with_marks, with_dumb_term, NULL), 0);
	CHECK_INT(status_of(exit_with_marks, without_term, NULL), 0);
	CHECK_INT(status_of(exit_with_marks, term_but_file, NULL), 0);
	CHECK_INT(status_of(exit_with_marks, term_but_file, "--marks=yes"), 1);
	CHECK_INT(status_of(exit_with_marks, with_no_color, "--marks=yes"), 1);
	CHECK_INT(status_of(exit_with_marks, with_term, "--marks=no"), 0);
}

static void hint_twice(void)
{
	tool_hint();
	tool_hint();
}

static void hints(void)
{
	run((struct child){ hint_twice, on_terminal, { NULL } });
	CHECK_INT(ended.status, 0);
	CHECK_TEXT(buf_slice(&ended.err),
		"wy-test: reading standard input from the terminal; end it with Ctrl-D (see wy-test --help)\n");
	run((struct child){ hint_twice, NULL, { NULL } });
	if (!isatty(STDIN_FILENO))
		CHECK_TEXT(buf_slice(&ended.err), "");
}

/* Reading */

static void write_file(const char *path, struct slice s)
{
	FILE *f = fopen(path, "w");

	fwrite(s.p, 1, s.n, f);
	fclose(f);
}

#define CANNOT(path, why) do { \
	CHECK(!tool_read(path, &b, &error)); \
	CHECK_TEXT(buf_slice(&error), "cannot read " path ": " why); \
} while (0)

static void reading(void)
{
	struct buf b = BUF_INIT, error = BUF_INIT, long_text = BUF_INIT;
	char path[200];

	snprintf(path, sizeof path, "%s", in_scratch("file"));
	for (size_t size = 0; size < 400000; size = size * 3 + 1) {
		long_text.n = 0;
		for (size_t i = 0; i < size; i++)
			buf_char(&long_text, (char)(i * 7 % 251));
		write_file(path, buf_slice(&long_text));
		CHECK_CASE(size);
		CHECK(tool_read(path, &b, &error));
		CHECK(slice_eq(buf_slice(&b), buf_slice(&long_text)));
	}
	CHECK_CASE(-1);
	CHECK(tool_read("/dev/null", &b, &error));
	CHECK_INT(b.n, 0);
	CANNOT("/", "it is a directory");
	CANNOT("/no/such/file", "No such file or directory");
	CANNOT("", "No such file or directory");
	CANNOT("/dev/null/x", "Not a directory");
	buf_release(&b);
	buf_release(&error);
	buf_release(&long_text);
}

/* Through a FIFO that another process fills in pieces. */
static void reading_fifo(void)
{
	struct buf b = BUF_INIT, error = BUF_INIT;
	const char *path = in_scratch("fifo");
	pid_t pid;
	unsigned long wrong = 0;

	CHECK(mkfifo(path, 0600) == 0);
	pid = fork();
	if (pid == 0) {
		int fd = open(path, O_WRONLY);

		for (int i = 0; i < 30000; i++)
			if (write(fd, "0123456789", 10) != 10)
				_exit(1);
		_exit(0);
	}
	CHECK(tool_read(path, &b, &error));
	waitpid(pid, NULL, 0);
	CHECK_INT(b.n, 300000);
	for (size_t i = 0; i < b.n; i++)
		wrong += b.p[i] != (char)('0' + i % 10);
	CHECK_INT(wrong, 0);
	buf_release(&b);
	buf_release(&error);
}

/* A file of the kernel that promises a page and gives a line stands for one that was cut. */
static void reading_short(void)
{
	static const char promised[] = "/sys/kernel/mm/transparent_hugepage/enabled";
	struct buf b = BUF_INIT, error = BUF_INIT;
	struct stat st;

	if (stat(promised, &st) == 0 && st.st_size > 1000)
		CANNOT("/sys/kernel/mm/transparent_hugepage/enabled", "it became shorter while it was read");
	buf_release(&b);
	buf_release(&error);
}

static void copy_input(void)
{
	struct buf b = BUF_INIT;

	tool_must_read("-", &b);
	tool_put_buf(&b);
	buf_release(&b);
}

static void in_closed(void)
{
	close(STDIN_FILENO);
}

static void in_folder(void)
{
	dup2(open("/", O_RDONLY), STDIN_FILENO);
}

/* Standard input is a file of which another has read a part. */
static void in_midst(void)
{
	int fd;

	write_file(in_scratch("midst"), SLICE("first\nsecond\n"));
	fd = open(in_scratch("midst"), O_RDONLY);
	lseek(fd, 6, SEEK_SET);
	dup2(fd, STDIN_FILENO);
}

static void reading_input(void)
{
	run((struct child){ copy_input, in_midst, { NULL } });
	ENDED(0, "second\n", "");
	run((struct child){ copy_input, in_closed, { NULL } });
	ENDED(2, "", "wy-test: cannot read standard input: Bad file descriptor\n");
	run((struct child){ copy_input, in_folder, { NULL } });
	ENDED(2, "", "wy-test: cannot read standard input: it is a directory\n");
}

/* The day */

static int64_t to_leap_day(int64_t utc_s, const void *clock)
{
	return 951868799 - utc_s + *(const int64_t *)clock; /* 2000-02-29T23:59:59 */
}

static void put_day(int32_t day)
{
	struct buf b = BUF_INIT;

	day_write(&b, day);
	tool_put_buf(&b);
	buf_release(&b);
}

static void put_today(void)
{
	put_day(tool_today(NULL, NULL));
}

static int64_t to_year_10000(int64_t utc_s, const void *clock)
{
	(void)clock;
	return (int64_t)2932897 * 86400 - utc_s;
}

static void put_day_beyond(void)
{
	put_day(tool_today(to_year_10000, NULL));
}

static void put_leap_day(void)
{
	static const int64_t seconds[] = { 0, 1, 86400 };

	for (size_t i = 0; i < 3; i++)
		put_day(tool_today(to_leap_day, &seconds[i]));
}

static void today_set(void)
{
	setenv("WITHY_TODAY", "2027-01-02", 1);
}

static void today_wrong(void)
{
	setenv("WITHY_TODAY", "2027-02-29", 1);
}

static void today_empty(void)
{
	setenv("WITHY_TODAY", "", 1);
}

static void today_unset(void)
{
	unsetenv("WITHY_TODAY");
}

static void today(void)
{
	int32_t day;

	run((struct child){ put_today, today_set, { NULL } });
	ENDED(0, "2027-01-02", "");
	run((struct child){ put_today, today_set, { "--on=2026-12-31", NULL } });
	ENDED(0, "2026-12-31", "");
	run((struct child){ put_today, today_wrong, { "--on=2026-12-31", NULL } });
	ENDED(0, "2026-12-31", "");
	run((struct child){ put_today, today_wrong, { NULL } });
	ENDED(2, "", "wy-test: WITHY_TODAY=2027-02-29 is not a valid date; write it as YYYY-MM-DD\n");
	run((struct child){ put_leap_day, today_unset, { NULL } });
	ENDED(0, "2000-02-292000-03-012000-03-01", "");
	run((struct child){ put_today, today_empty, { NULL } });
	CHECK_INT(ended.status, 0);
	CHECK(date_read(buf_slice(&ended.out), &day) == DATE_OK);
	run((struct child){ put_day_beyond, today_unset, { NULL } });
	ENDED(2, "", "wy-test: the clock of this machine is beyond the calendar; give the day, such as --on=2026-03-05\n");
}

int main(void)
{
	const char *tmp = getenv("TMPDIR");
	char folder[150];

	snprintf(folder, sizeof folder, "%s/withy-unit-XXXXXX", tmp && *tmp ? tmp : P_tmpdir);
	scratch = mkdtemp(folder);
	if (!scratch) {
		perror("mkdtemp");
		return 1;
	}
	good_ends();
	lost_output();
	broken_pipe();
	closed_descriptors();
	failures();
	own_options();
	common_options();
	buffering();
	forms();
	marks();
	hints();
	reading();
	reading_fifo();
	reading_short();
	reading_input();
	today();
	buf_release(&ended.out);
	buf_release(&ended.err);
	for (const char *const *name = (const char *const[]){ "innocent", "file", "fifo", "midst", NULL }; *name; name++)
		unlink(in_scratch(*name));
	rmdir(scratch);
	return check_end();
}
