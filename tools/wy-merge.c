/* wy-merge - one book out of two versions of it; wy-merge(1). */
#include <string.h>

#include "base/atomic_write.h"
#include "cli/tool_book.h"
#include "house/house_open.h"
#include "merge/merge_join.h"

enum { MARKS_MOST = 1000, NOTES_SHOWN = 20 };

static bool replace;
static int64_t mark_size = MERGE_MARK_SIZE;
static const char *book_path;

static const struct opt options[] = {
	OPT_FLAG('r', "replace", &replace, "replace OURS by the merged book"),
	OPT_TEXT(0, "path", &book_path, "FILE", "the book's own path, for messages and to find the house file"),
	OPT_INT(0, "mark-size", &mark_size, "N", MERGE_MARK_SIZE, MARKS_MOST, "characters in the marks of a conflict (7)"),
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file; default $WITHY_HOUSE, or house.yaml here or above"),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-merge",
	.purpose = "two versions of a book merged by their entries",
	.usage = "[options] BASE OURS THEIRS",
	.options = options,
	.exits = "0  merged\n1  merged, with conflicts to be decided\n2  usage error, or something could not be read or written",
	.example = "wy-merge base.wy mine.wy yours.wy >book.wy\nkeeps what both added and changed since base.wy",
};

static struct book book;

/* ---- what is reported */

static const char *name(void)
{
	return book_path ? book_path : tool_path_name(tool.operands[1]);
}

static void tell_notes(const struct merged *m, enum merge_note_kind kind, const char *words)
{
	size_t n = 0;

	for (size_t i = 0; i < m->nnotes; i++)
		if (m->note[i].kind == kind && n++ < NOTES_SHOWN)
			tool_warn("%s: %s: %.*s", name(), words, (int)m->note[i].line.n, m->note[i].line.p);
	if (n > NOTES_SHOWN)
		tool_warn("%s: %s: and %zu more", name(), words, n - NOTES_SHOWN);
}

static void tell_conflicts(const struct merged *m)
{
	struct slice reason, first;
	size_t at = 0, line = 0, seen = 0;

	while (merged_conflict(m, (size_t)mark_size, &at, &line, &reason, &first))
		if (seen++ < NOTES_SHOWN)
			tool_warn("%s:%zu: conflict: %.*s: %.*s", name(), line, (int)reason.n, reason.p, (int)first.n, first.p);
	if (m->conflicts)
		tool_warn("%s: %zu conflict%s; keep the right lines, remove the marks, and run wy-check", name(), m->conflicts,
			PLURAL(m->conflicts, "", "s"));
}

static int tell(const struct merged *m)
{
	tell_notes(m, MERGE_NOTE_ONCE, "both sides wrote this line, and it is kept once");
	tell_notes(m, MERGE_NOTE_BOTH, "both sides added an entry like this one, and both are kept");
	tell_conflicts(m);
	return m->conflicts ? TOOL_NO : TOOL_DONE;
}

/* ---- the three files */

static void merge(struct merged *m, struct parser *parser, struct slice ours)
{
	struct buf base = BUF_INIT, theirs = BUF_INIT;

	tool_must_read(tool.operands[0], &base);
	tool_must_read(tool.operands[2], &theirs);
	merge_join(m, parser, buf_slice(&base), ours, buf_slice(&theirs), (size_t)mark_size);
	diags_clear(parser->diags);
	buf_release(&base);
	buf_release(&theirs);
}

static void merge_out(struct merged *m, struct parser *parser)
{
	struct buf ours = BUF_INIT;

	tool_must_read(tool.operands[1], &ours);
	merge(m, parser, buf_slice(&ours));
	tool_put(buf_slice(&m->text));
	tool_flush();
	buf_release(&ours);
}

static void merge_into(struct merged *m, struct parser *parser)
{
	struct atomic_write target;
	struct buf ours = BUF_INIT;
	int error = atomic_write_open(&target, tool.operands[1]);

	if (!error)
		error = atomic_write_read(&target, &ours);
	if (!error) {
		merge(m, parser, buf_slice(&ours));
		if (!slice_eq(buf_slice(&m->text), buf_slice(&ours)))
			error = atomic_write_commit(&target, buf_slice(&m->text));
	}
	atomic_write_close(&target);
	buf_release(&ours);
	if (error)
		tool_fail("%s was not changed: %s", tool.operands[1], atomic_write_error(error));
}

static void check_use(void)
{
	size_t standard = 0;

	if (tool.n_operands != 3)
		tool_misused("give three files: the base, ours and theirs");
	for (size_t i = 0; i < 3; i++)
		standard += strcmp(tool.operands[i], "-") == 0;
	if (standard > 1)
		tool_misused("standard input can be read only once");
	if (replace && strcmp(tool.operands[1], "-") == 0)
		tool_misused("--replace cannot replace standard input");
}

int main(int argc, char **argv)
{
	struct parser parser;
	struct merged merged;
	int status;

	tool_start(&page, argc, argv);
	check_use();
	if (book_path)
		tool.house = house_find(tool.house, book_path);
	book_start(&book, 0);
	parser_init(&parser, &book.vocab, &book.diags);
	if (replace)
		merge_into(&merged, &parser);
	else
		merge_out(&merged, &parser);
	status = tell(&merged);
	merged_release(&merged);
	parser_release(&parser);
	return tool_finish(status);
}
