#include "cli/tool_intake.h"

#include <errno.h>
#include <stdio.h>

#include "base/yaml.h"
#include "intake/intake_files.h"
#include "intake/mapping.h"

/* --- the mappings ------------------------------------------------------------------------------- */

static void read_map(struct tool_intake *t, size_t i)
{
	const char *path = t->map_path[i];
	struct buf bytes = BUF_INIT;
	struct yaml_error error;

	tool_must_read(path, &bytes);
	if (!mapping_read(&t->map[i], buf_slice(&bytes), &t->book->vocab, &error)) {
		fprintf(stderr, "%s:%zu:%zu: error: %s\n", tool_path_name(path), error.line, error.col, error.text);
		tool_give_up();
	}
	buf_release(&bytes);
}

static void read_maps(struct tool_intake *t)
{
	t->map = mem_zeroed(t->nmaps, sizeof *t->map);
	for (size_t i = 0; i < t->nmaps; i++)
		read_map(t, i);
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

/* A report that is lost is a failure: nobody would know what was skipped. */
static void put_notes(struct tool_intake *t)
{
	struct slice notes = buf_slice(&t->report.out);

	if (fwrite(notes.p, 1, notes.n, stderr) != notes.n || fflush(stderr))
		tool_give_up();
	t->report.out.n = 0;
}

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
	struct intake_files files = { .path = t->path, .n = t->npaths, .map = t->map, .join = t->join };
	enum intake_state state;

	for (size_t i = 0; i < t->npaths; i++)
		if (strcmp(t->path[i], "-") == 0)
			tool_hint();
	do {
		state = intake_files_step(&files, t->run, &t->out);
		put_entries(t);
		put_notes(t);
	} while (state == INTAKE_MORE);
	if (state != INTAKE_DONE)
		stop(t, state, &files);
}

static void commit(struct tool_intake *t)
{
	uint64_t entries = intake_counts(t->run)->entries;
	int error = append_commit(&t->append);

	if (error)
		cannot_append(t, error);
	append_close(&t->append);
	if (entries)
		tool_warn("%llu entr%s appended to %s", (unsigned long long)entries, entries == 1 ? "y" : "ies", t->into);
	else
		tool_warn("nothing to append to %s", t->into);
}

/* Nothing new is a good end where the book has the readings already. */
static bool is_whole(const struct tool_intake *t)
{
	const struct intake_counts *c = intake_counts(t->run);

	return intake_is_whole(c) || (t->into && c->notes[NOTE_KNOWN] && !c->notes[NOTE_UNREADABLE] && !c->notes[NOTE_CELL]);
}

int tool_intake_run(struct tool_intake *t)
{
	read_maps(t);
	t->report.path = t->path;
	t->report.name = tool_path_name;
	t->run = intake_new(&t->book->vocab, t->works, intake_report_add, &t->report);
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
	return is_whole(t) ? TOOL_DONE : TOOL_NO;
}

void tool_intake_release(struct tool_intake *t)
{
	intake_free(t->run);
	for (size_t i = 0; t->map && i < t->nmaps; i++)
		mapping_release(&t->map[i]);
	free(t->map);
	intake_report_release(&t->report);
	buf_release(&t->out);
}
