/*
 * wy-intake - instruments' exports become entries of the book.
 */
#include <errno.h>
#include <fcntl.h>
#include <stdio.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/yaml.h"
#include "cli/tool.h"
#include "cli/tool_book.h"
#include "intake/guess.h"
#include "intake/intake_report.h"
#include "intake/mapping.h"
#include "time/zone.h"

enum { REPORT_TEXT, REPORT_TSV };

static const char *const report_words[] = { "text", "tsv", NULL };

static struct opt_list map_paths, against_paths;
static bool want_guess, join_files, each, quiet;
static int report = REPORT_TEXT;
static const char *clock_name, *guess_event, *guess_subject, *guess_meter;

static const struct opt options[] = {
	OPT_LIST('m', "map", &map_paths, "MAP", "the mapping of the export, mapping(5)"),
	OPT_FLAG(0, "join", &join_files, "read the files side by side, the first with the first --map,\nand join readings of one moment into one entry"),
	OPT_LIST('a', "against", &against_paths, "BOOK", "skip readings that are already in this book"),
	OPT_FLAG('b', "book", &tool.book, "the same with the book that the house file names"),
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file; else $WITHY_HOUSE, else house.yaml here\nor in the nearest directory above"),
	OPT_TEXT(0, "clock", &clock_name, "ZONE", "the works' clock; else the house file's"),
	OPT_WORD(0, "report", &report, report_words, "form of the report on standard error"),
	OPT_FLAG(0, "each", &each, "report each row and each oddity on its own line"),
	OPT_FLAG('q', "quiet", &quiet, "report only warnings, errors and totals"),
	OPT_FLAG('g', "guess", &want_guess, "propose a mapping for a file, with how sure each line is"),
	OPT_TEXT(0, "event", &guess_event, "EVENT", "with --guess: the event of the rows (air, probe, weigh)"),
	OPT_TEXT(0, "subject", &guess_subject, "ID", "with --guess: the subject, a place, charge or lot"),
	OPT_TEXT(0, "meter", &guess_meter, "ID", "with --guess: the instrument"),
	OPT_PART(tool_stream_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-intake",
	.purpose = "instruments' exports become entries of the book",
	.usage = "--map MAP [options] [FILE...]\n--join --map MAP --map MAP [options] FILE FILE\n--guess [options] [FILE]",
	.options = options,
	.exits = "0  every row is an entry, or was no reading\n"
		"1  some rows could not be read (they are reported), or gave no entry;\n"
		"   with --guess: the data leave something open\n"
		"2  usage error, or something could not be read or written",
	.example = "wy-intake --guess logger.csv >logger.yaml\nthen check it, and:\n"
		"wy-intake --map logger.yaml logger.csv >>book.wy",
};

struct work {
	struct book book;
	struct mapping *map;
	size_t nmaps;
	const char **path;         /* the operands, or "-" */
	size_t npaths;
	struct zone *clock;        /* --clock */
	const struct zone *works;  /* the works' clock, or NULL */
	struct intake *run;
	struct intake_report told;
	struct buf out;
};

/* --- start ------------------------------------------------------------------------------------ */

static void take_operands(struct work *w)
{
	static const char *input[] = { "-" };

	w->npaths = tool.n_operands ? tool.n_operands : 1;
	w->path = tool.n_operands ? (const char **)tool.operands : input;
}

/* The house's words and clock. The book's own files are those of --against and --book. */
static void take_house(struct work *w)
{
	static char *none[] = { NULL };

	tool.operands = against_paths.n ? (char **)against_paths.v : none;
	tool.n_operands = against_paths.n;
	book_start(&w->book, 0);
	if (clock_name) {
		struct zone_error error;

		w->clock = zone_load(slice_of(clock_name), &error);
		if (!w->clock)
			tool_misused("--clock: %s", error.text);
	}
	w->works = w->clock ? w->clock : w->book.house ? w->book.zone : NULL;
}

static void read_map(struct work *w, const char *path)
{
	struct buf bytes = BUF_INIT;
	struct yaml_error error;

	tool_must_read(path, &bytes);
	if (!mapping_read(&w->map[w->nmaps], buf_slice(&bytes), &w->book.vocab, &error)) {
		fprintf(stderr, "%s:%zu:%zu: error: %s\n", tool_path_name(path), error.line, error.col, error.text);
		tool_give_up();
	}
	w->nmaps++;
	buf_release(&bytes);
}

static void read_maps(struct work *w)
{
	if (!map_paths.n)
		tool_misused("--map is required: the mapping that describes the columns; --guess proposes one");
	if (join_files && (map_paths.n != w->npaths || w->npaths < 2))
		tool_misused("--join requires two files or more, and a --map for each, in the same order");
	if (!join_files && map_paths.n > 1)
		tool_misused("give one --map for all files, or with --join one for each");
	w->map = mem_array(map_paths.n, sizeof *w->map);
	for (size_t i = 0; i < map_paths.n; i++)
		read_map(w, map_paths.v[i]);
}

/* Without a house the export's own zone is taken for the works' clock. */
static const struct zone *clock_of(const struct work *w)
{
	if (w->works)
		return w->works;
	return w->map[0].clock == CLOCK_ZONE && !zone_is_fixed(w->map[0].zone) ? w->map[0].zone : NULL;
}

static void know_book(struct work *w)
{
	const struct line *line;
	const struct zone *clock = clock_of(w);
	struct zone_memo memo = { 0 };

	while ((line = book_next(&w->book))) {
		int64_t t_s;

		if (line->kind != LINE_EVENT)
			continue;
		t_s = (int64_t)line->stamp.day * 86400;
		if (line->stamp.second != STAMP_NO_TIME) {
			t_s += line->stamp.second;
			if (line->stamp.offset != STAMP_NO_OFFSET)
				t_s -= line->stamp.offset * 60;
			else if (clock)
				t_s = zone_wall(clock, &memo, t_s).utc_s[1];
		}
		intake_know(w->run, line, t_s);
	}
	book_end(&w->book);
}

/* --- the run ---------------------------------------------------------------------------------- */

static void take_note(void *arg, const struct intake_note *n)
{
	struct work *w = arg;

	intake_report_add(&w->told, n);
}

static void put_told(struct work *w)
{
	if (w->told.out.n)
		fwrite(w->told.out.p, 1, w->told.out.n, stderr);
	w->told.out.n = 0;
}

static int open_input(const char *path)
{
	struct stat st;
	int fd = STDIN_FILENO;

	if (strcmp(path, "-") == 0)
		tool_hint();
	else
		fd = open(path, O_RDONLY | O_CLOEXEC | O_NOCTTY);
	if (fd < 0 || fstat(fd, &st) < 0)
		tool_fail("cannot read %s: %s", tool_path_name(path), strerror(errno));
	if (S_ISDIR(st.st_mode))
		tool_fail("cannot read %s: it is a directory", tool_path_name(path));
	return fd;
}

static void stop(struct work *w, enum intake_state state)
{
	intake_report_end(&w->told, intake_counts(w->run));
	put_told(w);
	if (state == INTAKE_NO_READ)
		tool_fail("cannot read %s: %s", tool_path_name(w->path[intake_file(w->run)]), strerror(intake_errno(w->run)));
	tool_give_up();
}

/* Reads the files [from, to) to their ends, side by side. */
static void take_files(struct work *w, size_t from, size_t to)
{
	int *fd = mem_array(to - from, sizeof *fd);
	enum intake_state state;

	for (size_t i = from; i < to; i++) {
		fd[i - from] = open_input(w->path[i]);
		intake_add(w->run, &w->map[join_files ? i : 0], (uint32_t)(join_files ? i : 0), fd[i - from], (uint32_t)i);
	}
	do {
		state = intake_step(w->run, &w->out);
		tool_put_buf(&w->out);
		put_told(w);
	} while (state == INTAKE_MORE);
	if (state != INTAKE_DONE)
		stop(w, state);
	intake_close(w->run, to == w->npaths);
	for (size_t i = from; i < to; i++)
		if (fd[i - from] != STDIN_FILENO)
			close(fd[i - from]);
	free(fd);
}

static void name_paths(struct work *w)
{
	const char **name = mem_array(w->npaths, sizeof *name);

	for (size_t i = 0; i < w->npaths; i++)
		name[i] = tool_path_name(w->path[i]);
	w->told.path = name;
}

static int take_exports(struct work *w)
{
	const struct intake_counts *counts;
	int status;

	read_maps(w);
	name_paths(w);
	w->told.tsv = report == REPORT_TSV;
	w->told.each = each;
	w->told.quiet = quiet;
	w->run = intake_new(&w->book.vocab, w->works, take_note, w);
	if (w->book.npaths && (against_paths.n || tool.book))
		know_book(w);
	for (size_t i = 0; i < w->npaths; i = join_files ? w->npaths : i + 1)
		take_files(w, i, join_files ? w->npaths : i + 1);
	counts = intake_counts(w->run);
	intake_report_end(&w->told, counts);
	put_told(w);
	status = counts->told[TOLD_UNREADABLE] || counts->told[TOLD_CELL] || !counts->entries ? TOOL_NO : TOOL_DONE;
	if (!counts->entries)
		tool_warn("no row gave an entry");
	return status;
}

/* --- proposing -------------------------------------------------------------------------------- */

static void tell_questions(struct slice s)
{
	while (s.n) {
		size_t n = slice_find(s, '\n');

		tool_warn("open: %.*s", (int)n, s.p);
		s = slice_from(s, n < s.n ? n + 1 : n);
	}
}

static int propose(struct work *w)
{
	struct guess_wish wish = { slice_of(guess_event), slice_of(guess_subject), slice_of(guess_meter),
		slice_of(tool_path_name(w->path[0])) };
	struct buf error = BUF_INIT;
	int fd, status;

	if (map_paths.n || join_files || w->npaths > 1)
		tool_misused("--guess takes one file, without --map and --join");
	fd = open_input(w->path[0]);
	status = guess_mapping(fd, &w->book.vocab, &wish, &w->out, &error);
	if (status < 0)
		tool_fail("cannot read %s: %s", tool_path_name(w->path[0]), strerror(-status));
	tell_questions(buf_slice(&error));
	tool_put_buf(&w->out);
	buf_release(&error);
	return status ? TOOL_NO : TOOL_DONE;
}

int main(int argc, char **argv)
{
	static struct work w;
	int status;

	tool_start(&page, argc, argv);
	take_operands(&w);
	take_house(&w);
	status = want_guess ? propose(&w) : take_exports(&w);
	return tool_finish(status);
}
