#include "cli/tool_intake.h"

#include <errno.h>
#include <stdio.h>

#include "base/yaml.h"
#include "house/house_open.h"
#include "intake/intake_files.h"
#include "intake/loggers.h"
#include "intake/mapping.h"

/* A report that is lost is a failure: nobody would know what was skipped. */
static void put_notes(struct tool_intake *t)
{
	struct slice notes = buf_slice(&t->report.out);

	if (fwrite(notes.p, 1, notes.n, stderr) != notes.n || fflush(stderr))
		tool_give_up();
	t->report.out.n = 0;
}

/* `FILE:LINE:COL: error: WHY` */
static void tell_error(const char *path, size_t line, size_t col, const char *why)
{
	struct buf out = BUF_INIT;

	buf_printf(&out, "%s:%zu:%zu: error: %s", path, line, col, why);
	tool_tell(buf_slice(&out));
	buf_release(&out);
}

/* --- the mappings ------------------------------------------------------------------------------- */

static void read_map(struct tool_intake *t, size_t i, const char *path, struct slice place, struct slice meter)
{
	struct buf bytes = BUF_INIT;
	struct yaml_error error;

	tool_must_read(path, &bytes);
	if (!mapping_read(&t->map[i], buf_slice(&bytes), &t->book->vocab, &error) || !mapping_settle(&t->map[i], place, meter, &error)) {
		tell_error(tool_path_name(path), error.line, error.col, error.text);
		tool_give_up();
	}
	buf_release(&bytes);
}

static void read_maps(struct tool_intake *t)
{
	t->map = mem_zeroed(t->nmaps, sizeof *t->map);
	for (size_t i = 0; i < t->nmaps; i++)
		read_map(t, i, t->map_path[i], (struct slice){ "", 0 }, (struct slice){ "", 0 });
}

/* --- the works' loggers --------------------------------------------------------------------------- */

static void read_logger_maps(struct tool_intake *t)
{
	const struct house *house = t->book->house;

	if (!house || !house->nloggers)
		tool_fail("%s; list the works' loggers in the house file as `loggers`, each with serial, mapping and place: see house(5)",
			house ? "the house file has no loggers" : "--loggers requires a house file");
	t->nmaps = house->nloggers;
	t->map = mem_zeroed(t->nmaps, sizeof *t->map);
	for (size_t i = 0; i < t->nmaps; i++) {
		const struct house_logger *g = &house->loggers[i];
		struct buf path = BUF_INIT;

		house_beside(&path, t->book->house_path, g->mapping);
		read_map(t, i, buf_cstr(&path), g->place, g->meter);
		buf_release(&path);
	}
}

/* All exports are found before the first one is read, so that a box is taken in whole or not at all. */
static void find_loggers(struct tool_intake *t)
{
	struct buf why = BUF_INIT;
	bool good = true;

	t->map_of = mem_zeroed(t->npaths, sizeof *t->map_of);
	t->done = mem_zeroed(t->npaths, sizeof *t->done);
	for (size_t i = 0; i < t->npaths; i++) {
		int found = logger_find(t->book->house, t->map, t->book->house_path, t->path[i], &why);

		if (found == LOGGER_NONE)
			tell_error(t->path[i], 1, 1, buf_cstr(&why));
		good = good && found != LOGGER_NONE;
		t->map_of[i] = found == LOGGER_NONE ? 0 : (uint32_t)found;
	}
	buf_release(&why);
	if (!good)
		tool_fail("nothing was taken in: the logger of every export must be known");
}

static void add_row(struct table *table, const struct tool_intake *t, size_t i)
{
	static const struct intake_counts none;
	const struct house_logger *g = &t->book->house->loggers[t->map_of[i]];
	const struct intake_counts *now = &t->done[i], *before = i ? &t->done[i - 1] : &none;

	table_text(table, slice_of(t->path[i]));
	table_text(table, g->serial);
	table_text(table, g->place);
	table_text(table, g->mapping);
	table_int(table, (int64_t)(now->rows - before->rows));
	table_int(table, (int64_t)(now->entries - before->entries));
	table_int(table, (int64_t)(now->notes[NOTE_KNOWN] + now->notes[NOTE_REPEAT] - before->notes[NOTE_KNOWN] - before->notes[NOTE_REPEAT]));
	table_int(table, (int64_t)(intake_unread(now) - intake_unread(before)));
}

/* What went where: on standard output, unless the entries are there. */
static void put_table(struct tool_intake *t)
{
	static const struct table_column columns[] = {
		{ "file", TABLE_TEXT, 0, "export" }, { "logger", TABLE_TEXT, 0, "logger" }, { "place", TABLE_TEXT, 0, "place" },
		{ "mapping", TABLE_TEXT, 0, "mapping" }, { "rows", TABLE_INT, 0, "rows" }, { "entries", TABLE_INT, 0, "entries" },
		{ "in_book", TABLE_INT, 0, "in the book" }, { "unreadable", TABLE_INT, 0, "not read" },
	};
	struct table_style style = { .form = t->report.tsv ? TABLE_AS_TSV : TABLE_AS_TEXT };
	struct table table;

	table_init(&table, columns, sizeof columns / sizeof *columns);
	for (size_t i = 0; i < t->npaths; i++)
		add_row(&table, t, i);
	table_write(&table, style, &t->report.out);
	if (t->into)
		tool_put_buf(&t->report.out);
	else
		put_notes(t);
	table_release(&table);
}

/* --- what the book has -------------------------------------------------------------------------- */

static void know_books(struct tool_intake *t)
{
	const struct line *line;

	while ((line = book_next(t->book)))
		if (line->kind == LINE_EVENT)
			intake_know(t->run, line, &t->map[0]);
}

static _Noreturn void cannot_append(const struct tool_intake *t, int error)
{
	if (error == ENOENT)
		tool_fail("cannot append to %s: it does not exist; for a new book create it first: touch %s", t->into, t->into);
	tool_fail("nothing was appended to %s: %s", t->into, atomic_write_error(error));
}

/* The book is locked from here on. Other books were read before: closing one that is the same file would unlock it. */
static void open_into(struct tool_intake *t)
{
	int error = append_open(&t->append, t->into);

	if (error)
		cannot_append(t, error);
	book_add(t->book, t->into);
	t->book->unread += append_know(&t->append, t->run, &t->map[0], &t->book->vocab, &t->book->diags,
		(uint32_t)(t->book->npaths - 1));
}

/* --- the run ------------------------------------------------------------------------------------ */

static void end_report(struct tool_intake *t)
{
	intake_report_end(&t->report, intake_counts(t->run));
	put_notes(t);
}

static _Noreturn void stop(struct tool_intake *t, enum intake_state state, const struct intake_files *files)
{
	if (state != INTAKE_NO_OPEN)
		end_report(t);
	if (state == INTAKE_NO_FIT)
		tool_give_up();
	tool_fail("cannot read %s: %s", tool_path_name(t->path[files->failed]), files->why);
}

static void put_entries(struct tool_intake *t)
{
	if (t->into)
		append_add(&t->append, &t->out);
	else
		tool_put_buf(&t->out);
}

static void take_files(struct tool_intake *t)
{
	struct intake_files files = { .path = t->path, .n = t->npaths, .map = t->map, .join = t->join,
		.map_of = t->map_of };
	enum intake_state state;

	for (size_t i = 0; i < t->npaths; i++)
		if (strcmp(t->path[i], "-") == 0)
			tool_hint();
	do {
		size_t file = files.from;

		state = intake_files_step(&files, t->run, &t->out);
		if (t->done && files.from > file)
			t->done[file] = *intake_counts(t->run);
		put_entries(t);
		put_notes(t);
	} while (state == INTAKE_MORE);
	if (state != INTAKE_DONE)
		stop(t, state, &files);
}

static void commit(struct tool_intake *t)
{
	int error = append_commit(&t->append);
	unsigned long long n = t->append.lines;

	if (error)
		cannot_append(t, error);
	append_close(&t->append);
	if (n)
		tool_warn("%llu entr%s appended to %s", n, n == 1 ? "y" : "ies", t->into);
	else
		tool_warn("nothing to append to %s", t->into);
}

/* Nothing new is a good end where the book has the readings already. */
static bool is_whole(const struct tool_intake *t)
{
	const struct intake_counts *c = intake_counts(t->run);

	return intake_is_whole(c) || (t->into && c->notes[NOTE_KNOWN] && !intake_unread(c));
}

int tool_intake_run(struct tool_intake *t)
{
	if (t->loggers) {
		read_logger_maps(t);
		find_loggers(t);
	} else {
		read_maps(t);
	}
	t->report.path = t->path;
	t->report.name = tool_path_name;
	t->run = intake_new(&t->book->vocab, t->works, intake_report_add, &t->report);
	if (!t->book->house)
		t->no_house = house_read(SLICE(""), NULL, NULL);
	intake_watch(t->run, t->book->house ? t->book->house : t->no_house);
	if (t->know)
		know_books(t);
	if (t->into)
		open_into(t);
	if (t->know || t->into)
		book_end(t->book);
	take_files(t);
	end_report(t);
	if (t->into)
		commit(t);
	else if (!intake_counts(t->run)->entries)
		tool_warn("no row gave an entry");
	if (t->loggers)
		put_table(t);
	return is_whole(t) ? TOOL_DONE : TOOL_NO;
}

void tool_intake_release(struct tool_intake *t)
{
	intake_free(t->run);
	if (t->no_house)
		house_free(t->no_house);
	for (size_t i = 0; t->map && i < t->nmaps; i++)
		mapping_release(&t->map[i]);
	free(t->map);
	free(t->map_of);
	free(t->done);
	intake_report_release(&t->report);
	buf_release(&t->out);
}
