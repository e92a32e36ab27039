/*
 * wy-intake - instruments' exports become entries of the book.
 */
#include <stdio.h>

#include "base/yaml.h"
#include "cli/tool_book.h"
#include "intake/export_file.h"
#include "intake/guess.h"
#include "intake/intake_files.h"
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
	OPT_FLAG(0, "join", &join_files, "read the files side by side, each with its own --map, and join readings of one moment into one entry"),
	OPT_LIST('a', "against", &against_paths, "BOOK", "skip readings that are already in this book"),
	OPT_FLAG('b', "book", &tool.book, "skip readings that are in the house file's book"),
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file; else $WITHY_HOUSE, else house.yaml here\nor in the nearest directory above"),
	OPT_TEXT(0, "clock", &clock_name, "ZONE", "the works' clock; else the house file's"),
	OPT_WORD(0, "report", &report, report_words, "form of the report on standard error"),
	OPT_FLAG(0, "each", &each, "report every row on its own line, without a limit"),
	OPT_FLAG('q', "quiet", &quiet, "report only warnings, errors and totals"),
	OPT_FLAG('g', "guess", &want_guess, "propose a mapping for a file"),
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
	.exits = "0  every row gave an entry, or had no reading\n"
		"1  some rows or cells could not be read, or no row gave an entry;\n"
		"   with --guess: a question is open\n"
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
	struct intake_report report;
	struct buf out;
};

/* --- start ------------------------------------------------------------------------------------ */

static void take_operands(struct work *w)
{
	static const char *input[] = { "-" };

	w->npaths = tool.n_operands ? tool.n_operands : 1;
	w->path = tool.n_operands ? (const char **)tool.operands : input;
}

static void hint(const struct work *w)
{
	for (size_t i = 0; i < w->npaths; i++)
		if (strcmp(w->path[i], "-") == 0)
			tool_hint();
}

/* The house's words and clock. The book's own files are those of --against and --book. */
static void take_house(struct work *w)
{
	static char *none[] = { NULL };
	struct zone_error error;

	tool.operands = against_paths.n ? (char **)against_paths.v : none;
	tool.n_operands = against_paths.n;
	book_start(&w->book, BOOK_WHOLE);
	if (clock_name && !(w->clock = zone_load(slice_of(clock_name), &error)))
		tool_misused("--clock: %s", error.text);
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

/* --- the run ---------------------------------------------------------------------------------- */

/* Readings that the book has are not entered again. */
static void know_book(struct work *w)
{
	const struct line *line;

	while ((line = book_next(&w->book)))
		if (line->kind == LINE_EVENT)
			intake_know(w->run, line, &w->map[0]);
	book_end(&w->book);
}

static void put_notes(struct work *w)
{
	struct slice notes = buf_slice(&w->report.out);

	fwrite(notes.p, 1, notes.n, stderr);
	w->report.out.n = 0;
}

static void end_report(struct work *w)
{
	intake_report_end(&w->report, intake_counts(w->run));
	put_notes(w);
}

static void stop(struct work *w, enum intake_state state, const struct intake_files *files)
{
	if (state != INTAKE_NO_OPEN)
		end_report(w);
	if (state == INTAKE_NO_FIT)
		tool_give_up();
	tool_fail("cannot read %s: %s", tool_path_name(w->path[files->failed]), files->why);
}

static void take_files(struct work *w)
{
	struct intake_files files = { .path = w->path, .n = w->npaths, .map = w->map, .join = join_files };
	enum intake_state state;

	hint(w);
	do {
		state = intake_files_step(&files, w->run, &w->out);
		tool_put_buf(&w->out);
		put_notes(w);
	} while (state == INTAKE_MORE);
	if (state != INTAKE_DONE)
		stop(w, state, &files);
}

static int take_exports(struct work *w)
{
	read_maps(w);
	w->report = (struct intake_report){ .tsv = report == REPORT_TSV, .each = each, .quiet = quiet, .path = w->path,
		.name = tool_path_name };
	w->run = intake_new(&w->book.vocab, w->works, intake_report_add, &w->report);
	if (w->book.npaths && (against_paths.n || tool.book))
		know_book(w);
	take_files(w);
	end_report(w);
	if (!intake_counts(w->run)->entries)
		tool_warn("no row gave an entry");
	return intake_is_whole(intake_counts(w->run)) ? TOOL_DONE : TOOL_NO;
}

/* --- proposing -------------------------------------------------------------------------------- */

static void put_questions(struct slice s)
{
	while (s.n) {
		size_t n = slice_find(s, '\n');

		tool_warn("open: %.*s", (int)n, s.p);
		s = slice_from(s, n < s.n ? n + 1 : n);
	}
}

static int propose(struct work *w)
{
	const char *path = tool_path_name(w->path[0]), *why;
	struct guess_wish wish = { slice_of(guess_event), slice_of(guess_subject), slice_of(guess_meter), slice_of(path), w->works };
	struct buf questions = BUF_INIT;
	int fd, status;

	if (map_paths.n || join_files || w->npaths > 1)
		tool_misused("--guess takes one file, without --map and --join");
	hint(w);
	fd = export_open(w->path[0], &why);
	if (fd < 0)
		tool_fail("cannot read %s: %s", path, why);
	status = guess_mapping(fd, &w->book.vocab, &wish, &w->out, &questions);
	export_close(fd);
	if (status < 0)
		tool_fail("cannot read %s: %s", path, strerror(-status));
	put_questions(buf_slice(&questions));
	tool_put_buf(&w->out);
	buf_release(&questions);
	return status ? TOOL_NO : TOOL_DONE;
}

static void release(struct work *w)
{
	intake_free(w->run);
	for (size_t i = 0; i < w->nmaps; i++)
		mapping_release(&w->map[i]);
	free(w->map);
	intake_report_release(&w->report);
	buf_release(&w->out);
	zone_free(w->clock);
}

int main(int argc, char **argv)
{
	static struct work w;
	int status;

	tool_start(&page, argc, argv);
	take_operands(&w);
	take_house(&w);
	status = want_guess ? propose(&w) : take_exports(&w);
	release(&w);
	return tool_finish(status);
}
