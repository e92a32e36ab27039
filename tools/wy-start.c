/* wy-start - a works of one's own in an empty directory; wy-start(1). */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/escape.h"
#include "cli/tool.h"
#include "house/house_open.h"
#include "time/zone.h"
#include "start_files.h"

static const char *works, *wall_clock, *currency;

static const struct opt options[] = {
	OPT_TEXT(0, "works", &works, "NAME", "the name of the works (My works)"),
	OPT_TEXT(0, "clock", &wall_clock, "ZONE", "the clock on its wall: a zone such as Pacific/Auckland,\nor a fixed offset such as +01:00 (UTC)"),
	OPT_TEXT(0, "currency", &currency, "CODE", "the currency of its prices, by its ISO 4217 code (EUR)"),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-start",
	.purpose = "a works of one's own in an empty directory",
	.usage = "[options] DIR",
	.options = options,
	.exits = "0  done; the names of the new files are printed\n"
		"1  the directory has one of the files already; nothing was written\n"
		"2  usage error, or output could not be written; a file that could not be written is not left",
	.example = "wy-start --works \"Our bats\" --clock Pacific/Auckland --currency NZD bats\n"
		"a house file, an empty book and a README in the directory bats",
};

enum { FILES = sizeof START_FILES / sizeof *START_FILES };

/* The path of every file to be made, and the directory when this run made it. */
static struct buf path[FILES], directory;
static bool made_directory;

static void name_files(const char *dir)
{
	struct slice d = slice_of(dir);

	while (d.n > 1 && d.p[d.n - 1] == '/')
		d.n--;
	buf_add(&directory, d);
	for (size_t i = 0; i < FILES; i++) {
		buf_add(&path[i], d);
		buf_str(&path[i], slice_eq(d, SLICE("/")) ? "" : "/");
		buf_str(&path[i], START_FILES[i].name);
	}
}

/* ---- the house file with the works' own answers */

struct answer {
	const char *key, *option, *value;
};

/* The line `key: value` of the text is replaced; quoted as JSON, which YAML reads alike. */
static void put_line(struct buf *out, struct slice line, const struct answer *answer, size_t n)
{
	for (size_t i = 0; i < n; i++)
		if (answer[i].value && slice_starts(line, slice_of(answer[i].key))) {
			buf_str(out, answer[i].key);
			buf_char(out, ' ');
			buf_json(out, slice_of(answer[i].value));
			return;
		}
	buf_add(out, line);
}

static void put_house(struct buf *out, struct slice text, const struct answer *answer, size_t n)
{
	while (text.n) {
		size_t end = slice_find(text, '\n');

		put_line(out, slice_upto(text, end), answer, n);
		buf_char(out, '\n');
		text = slice_from(text, end + (end < text.n));
	}
}

/* The first problem of the house file that is about to be written. */
static void keep_problem(void *arg, const struct house_problem *problem)
{
	struct buf *first = arg;

	if (first->n || !problem->error)
		return;
	buf_add(first, problem->text);
	if (problem->mend.n)
		buf_str(first, "; ");
	buf_add(first, problem->mend);
}

/* Each answer is tried alone, so that the message names the option that it came with. */
static void check_answers(struct slice text, const struct answer *answer, size_t n)
{
	struct buf with = BUF_INIT, why = BUF_INIT;

	for (size_t i = 0; i < n; i++) {
		if (!answer[i].value)
			continue;
		with.n = 0;
		put_house(&with, text, &answer[i], 1);
		house_free(house_read(buf_slice(&with), keep_problem, &why));
		if (why.n)
			tool_misused("%s: %s", answer[i].option, buf_cstr(&why));
	}
	buf_release(&with);
	buf_release(&why);
}

/* A name of a works is text that every editor shows as it was typed. */
static void check_name(void)
{
	struct slice name = slice_of(works);
	size_t at;

	if (!utf8_check(name, &at))
		tool_misused("--works: the name is not valid UTF-8; type it in a UTF-8 terminal");
	for (size_t i = 0; i < name.n; i++)
		if ((unsigned char)name.p[i] < 0x20 || name.p[i] == 0x7f)
			tool_misused("--works: the name has a control character; leave it out");
}

static void check_clock(void)
{
	struct zone_error why;
	struct zone *zone = wall_clock ? zone_load(slice_of(wall_clock), &why) : NULL;

	if (wall_clock && !zone)
		tool_misused("--clock: %s", why.text);
	zone_free(zone);
}

/* ---- writing: all files, or none */

/* Takes back what this run made, so that the command can be given again. */
static void take_back(size_t made)
{
	while (made)
		unlink(buf_cstr(&path[--made]));
	if (made_directory)
		rmdir(buf_cstr(&directory));
}

/* A new file with these bytes, on the disk; 0 or an errno. A file that is there is never touched. */
static int write_new(const char *name, struct slice bytes)
{
	int fd = open(name, O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, 0666), error = 0;

	if (fd < 0)
		return errno;
	while (bytes.n && !error) {
		ssize_t n = write(fd, bytes.p, bytes.n);

		if (n < 0 && errno != EINTR)
			error = errno;
		else if (n > 0)
			bytes = slice_from(bytes, (size_t)n);
	}
	if (!error && fsync(fd) != 0 && errno != EINVAL && errno != EROFS)
		error = errno;
	if (close(fd) != 0 && !error)
		error = errno;
	if (error)
		unlink(name);
	return error;
}

static void make_directory(void)
{
	if (mkdir(buf_cstr(&directory), 0777) == 0)
		made_directory = true;
	else if (errno != EEXIST)
		tool_fail("cannot make %s: %s", tool_path_name(buf_cstr(&directory)), strerror(errno));
}

/* The first file that is there already, or NULL. */
static const char *file_there(void)
{
	struct stat st;

	for (size_t i = 0; i < FILES; i++)
		if (lstat(buf_cstr(&path[i]), &st) == 0)
			return buf_cstr(&path[i]);
	return NULL;
}

static void write_files(struct slice house)
{
	for (size_t i = 0; i < FILES; i++) {
		struct slice text = i == START_HOUSE ? house : slice_of(START_FILES[i].text);
		int error = write_new(buf_cstr(&path[i]), text);

		if (error) {
			take_back(i);
			tool_fail("cannot write %s: %s", tool_path_name(buf_cstr(&path[i])), strerror(error));
		}
	}
}

static void print_files(void)
{
	for (size_t i = 0; i < FILES; i++) {
		static struct buf shown; /* lasts as long as the process */

		utf8_add_visible(&shown, buf_slice(&path[i]));
		buf_char(&shown, '\n');
		tool_put_buf(&shown);
	}
	if (isatty(STDERR_FILENO))
		tool_warn("next: answer the questions in house.yaml; see 'man 7 withy-tutorial'");
}

int main(int argc, char **argv)
{
	struct answer answer[] = {
		{ "works:", "--works", NULL }, { "clock:", "--clock", NULL }, { "currency:", "--currency", NULL },
	};
	struct slice start = slice_of(START_FILES[START_HOUSE].text);
	struct buf house = BUF_INIT;
	const char *there;

	tool_start(&page, argc, argv);
	if (tool.n_operands != 1 || !*tool.operands[0])
		tool_misused("name one directory, such as: wy-start works");
	answer[0].value = works;
	answer[1].value = wall_clock;
	answer[2].value = currency;
	check_name();
	check_clock();
	check_answers(start, answer, sizeof answer / sizeof *answer);
	name_files(tool.operands[0]);
	make_directory();
	there = file_there();
	if (there) {
		tool_warn("%s is there already; nothing was written; name another directory", there);
		return tool_finish(TOOL_NO);
	}
	put_house(&house, start, answer, sizeof answer / sizeof *answer);
	write_files(buf_slice(&house));
	buf_release(&house);
	print_files();
	return tool_finish(TOOL_DONE);
}
