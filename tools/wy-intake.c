/*
 * wy-intake - instruments' exports become entries of the book.
 */
#include "base/csv.h"
#include "cli/tool_intake.h"
#include "intake/export_file.h"
#include "intake/export_table.h"
#include "intake/guess.h"
#include "time/zone.h"

enum { REPORT_TEXT, REPORT_TSV };
static const char *const report_words[] = { "text", "tsv", NULL };

static struct opt_list map_paths, against_paths;
static bool want_guess, by_logger, join_files, each, quiet;
static int report = REPORT_TEXT;
static const char *clock_name, *into, *guess_event, *guess_subject, *guess_meter, *guess_sheet;

static const struct opt options[] = {
	OPT_LIST('m', "map", &map_paths, "MAP", "the mapping of the export, mapping(5)"),
	OPT_FLAG(0, "join", &join_files, "read the files side by side, each with its own --map, and join readings of one moment into one entry"),
	OPT_FLAG('l', "loggers", &by_logger, "find the logger of each file in the house file, and with it the mapping and the place; print what went where"),
	OPT_LIST('a', "against", &against_paths, "BOOK", "skip readings that are already in this book"),
	OPT_FLAG('b', "book", &tool.book, "skip readings that are in the house file's book"),
	OPT_TEXT(0, "into", &into, "BOOK", "append the entries to this book, all or none; skip readings that it has"),
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file; else $WITHY_HOUSE, else house.yaml here\nor in the nearest directory above"),
	OPT_TEXT(0, "clock", &clock_name, "ZONE", "the works' clock; else the house file's"),
	OPT_WORD(0, "report", &report, report_words, "form of the report on standard error"),
	OPT_FLAG(0, "each", &each, "report every row on its own line, without a limit"),
	OPT_FLAG('q', "quiet", &quiet, "report only warnings, errors and totals"),
	OPT_FLAG('g', "guess", &want_guess, "propose a mapping for a file"),
	OPT_TEXT(0, "event", &guess_event, "EVENT", "with --guess: the event of the rows (air, probe, weigh)"),
	OPT_TEXT(0, "subject", &guess_subject, "ID", "with --guess: the subject, a place, charge or lot"),
	OPT_TEXT(0, "meter", &guess_meter, "ID", "with --guess: the instrument"),
	OPT_TEXT(0, "sheet", &guess_sheet, "NAME", "with --guess: the sheet of a workbook that has several"),
	OPT_PART(tool_stream_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-intake",
	.purpose = "instruments' exports become entries of the book",
	.usage = "--map MAP [options] [FILE...]\n--loggers [options] FILE...\n--join --map MAP --map MAP [options] FILE FILE\n--guess [options] [FILE]",
	.options = options,
	.exits = "0  every row gave an entry, or had no reading\n"
		"1  some rows or cells could not be read, or no row gave an entry;\n"
		"   with --guess: a question is open\n"
		"2  usage error, or something could not be read or written",
	.example = "wy-intake --guess logger.csv >logger.yaml\nthen check it, and:\n"
		"wy-intake --map logger.yaml --into book.wy logger.csv",
};

struct work {
	struct book book;
	struct tool_intake take;
	const char **path;         /* the operands, or "-" */
	size_t npaths;
	struct zone *clock;        /* --clock */
	const struct zone *works;  /* the works' clock, or NULL */
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
	struct zone_error error;

	tool.operands = against_paths.n ? (char **)against_paths.v : none;
	tool.n_operands = against_paths.n;
	book_start(&w->book, BOOK_WHOLE);
	if (clock_name && !(w->clock = zone_load(slice_of(clock_name), &error)))
		tool_misused("--clock: %s", error.text);
	w->works = w->clock ? w->clock : w->book.house ? w->book.zone : NULL;
}

static bool reads_files(const struct work *w)
{
	for (size_t i = 0; i < w->npaths; i++)
		if (strcmp(w->path[i], "-") == 0)
			return false;
	return true;
}

static void check_use(const struct work *w)
{
	if (by_logger && (map_paths.n || join_files || !reads_files(w)))
		tool_misused("--loggers takes files, without --map and --join");
	if (!by_logger && !map_paths.n)
		tool_misused("--map is required: the mapping that describes the columns; --guess proposes one");
	if (join_files && (map_paths.n != w->npaths || w->npaths < 2))
		tool_misused("--join requires two files or more, and a --map for each, in the same order");
	if (!join_files && map_paths.n > 1)
		tool_misused("give one --map for all files, or with --join one for each");
	if (into && strcmp(into, "-") == 0)
		tool_misused("--into requires a file; without it the entries go to standard output");
}

static int take_exports(struct work *w)
{
	check_use(w);
	w->take = (struct tool_intake){
		.book = &w->book, .works = w->works,
		.path = w->path, .npaths = w->npaths, .map_path = map_paths.v, .nmaps = map_paths.n, .join = join_files, .loggers = by_logger,
		.know = against_paths.n || tool.book, .into = into,
		.report = { .tsv = report == REPORT_TSV, .each = each, .quiet = quiet },
	};
	return tool_intake_run(&w->take);
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
	struct guess_wish wish = { .event = slice_of(guess_event), .subject = slice_of(guess_subject), .meter = slice_of(guess_meter),
		.file = slice_of(path), .works = w->works };
	struct export_table table;
	struct buf questions = BUF_INIT, out = BUF_INIT;
	int fd, status;

	if (map_paths.n || join_files || by_logger || into || w->npaths > 1)
		tool_misused("--guess takes one file, without --map, --loggers, --join and --into");
	if (strcmp(w->path[0], "-") == 0)
		tool_hint();
	fd = export_open(w->path[0], &why);
	if (fd < 0)
		tool_fail("cannot read %s: %s", path, why);
	if (!export_table_open(&table, fd, slice_of(guess_sheet), &out))
		tool_fail("cannot read %s: %s", path, buf_cstr(&out));
	export_close(fd);
	wish.json = table.kind == EXPORT_JSON;
	wish.sheet = buf_slice(&table.sheet);
	status = guess_mapping(table.fd, &w->book.vocab, &wish, &out, &questions);
	export_table_release(&table);
	if (status < 0)
		tool_fail("cannot read %s: %s", path, csv_error(-status));
	put_questions(buf_slice(&questions));
	tool_put_buf(&out);
	buf_release(&questions);
	buf_release(&out);
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
	tool_intake_release(&w.take);
	zone_free(w.clock);
	return tool_finish(status);
}
