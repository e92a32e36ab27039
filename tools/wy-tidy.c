#include <stdlib.h>

#include "base/atomic_write.h"
#include "base/mem.h"
#include "book/tidy.h"
#include "book/unified_diff.h"
#include "cli/tool.h"
#include "cli/tool_book.h"

static bool check, diff, in_place, no_sort;

static const struct opt options[] = {
	OPT_FLAG('c', "check", &check, "print nothing; tell which files are not tidy, and exit 1"),
	OPT_FLAG('d', "diff", &diff, "print what would change as a unified diff, and exit 1 if anything would"),
	OPT_FLAG('i', "in-place", &in_place, "replace each file by its tidy form"),
	OPT_FLAG(0, "no-sort", &no_sort, "leave the lines in the order that they have"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_stream_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-tidy",
	.purpose = "a book in canonical form",
	.usage = "[options] [FILE...]\n--check [FILE...]\n--diff [FILE...]\n--in-place FILE...",
	.options = options,
	.exits = "0  done; with --check and --diff: all is tidy\n"
		"1  some lines could not be read, and stand as they were;\n"
		"   with --check and --diff: something is not tidy\n"
		"2  wrong use, a file that cannot be read or replaced, output not written in full",
	.example = "wy-tidy --diff book.wy\nshows what wy-tidy -i book.wy would change",
};

static struct book book;
static struct parser parser;

/* ---- taking lines in */

static struct slice strip(struct slice text, bool first)
{
	if (first && slice_starts(text, SLICE("\xef\xbb\xbf")))
		text = slice_from(text, 3);
	if (text.n && text.p[text.n - 1] == '\n')
		text.n--;
	if (text.n && text.p[text.n - 1] == '\r')
		text.n--;
	return text;
}

static void tell_cut_off(const struct line *l)
{
	uint32_t col = (uint32_t)l->text.n + 1;

	DIAG0(&book.diags, RULE_NO_FINAL_NEWLINE, ((struct place){ l->file, col, col + 1, l->number }));
}

/* All lines of a file, whose bytes must outlive `t`. */
static void take_lines(struct tidy *t, struct slice bytes, size_t file)
{
	for (uint64_t number = 1; bytes.n; number++) {
		size_t n = slice_find(bytes, '\n');
		struct slice was = slice_upto(bytes, n < bytes.n ? n + 1 : n);
		const struct line *l = parse_line(&parser, strip(was, number == 1), number, (uint32_t)file);

		book.unread += l->kind == LINE_BAD;
		if (n == bytes.n)
			tell_cut_off(l);
		tidy_add(t, l, was);
		bytes = slice_from(bytes, was.n);
	}
}

static int told_bad(void)
{
	book_tell(&book);
	if (!book.unread)
		return TOOL_DONE;
	tool_warn("%llu line%s could not be read and stand%s as before", (unsigned long long)book.unread,
		book.unread == 1 ? "" : "s", book.unread == 1 ? "s" : "");
	return TOOL_NO;
}

/* ---- one book out */

static void put_rows(const struct tidy *t)
{
	for (size_t i = 0; i < t->n; i++)
		tool_put(tidy_text(t, i));
}

static int print_sorted(void)
{
	struct buf *bytes = mem_zeroed(book.npaths, sizeof *bytes);
	struct tidy t;

	tidy_init(&t);
	for (size_t i = 0; i < book.npaths; i++) {
		tool_must_read(book.path[i], &bytes[i]);
		take_lines(&t, buf_slice(&bytes[i]), i);
	}
	tidy_sort(&t);
	put_rows(&t);
	tidy_release(&t);
	for (size_t i = 0; i < book.npaths; i++)
		buf_release(&bytes[i]);
	free(bytes);
	return told_bad();
}

static int print_as_they_come(void)
{
	struct buf out = BUF_INIT;
	const struct line *l;

	while ((l = book_next(&book))) {
		if (l->kind == LINE_BAD) {
			book_tell(&book);
			if (book.reader.skipping)
				tool_fail("%s:%llu: this line is too long to pass on; is it a book?",
					tool_path_name(book.path[book.at]), (unsigned long long)l->number);
		}
		tidy_line(&out, l);
		buf_char(&out, '\n');
		tool_put_buf(&out);
	}
	buf_release(&out);
	return told_bad();
}

/* ---- one file after another */

static void arrange(struct tidy *t, struct slice bytes, size_t file)
{
	tidy_clear(t);
	take_lines(t, bytes, file);
	if (!no_sort)
		tidy_sort(t);
}

static void print_diff(const struct tidy *t, struct slice name)
{
	struct unified_diff_line *now = mem_array(t->n, sizeof *now);
	struct slice *was = mem_array(t->n, sizeof *was);
	struct buf out = BUF_INIT;
	size_t nwas = 0;

	for (size_t i = 0; i < t->n; i++) {
		now[i] = (struct unified_diff_line){ tidy_text(t, i), t->row[i].index };
		if (t->row[i].index == SIZE_MAX)
			continue;
		was[t->row[i].index] = t->row[i].was;
		nwas++;
	}
	unified_diff_write(&out, name, was, nwas, now, t->n);
	tool_put_buf(&out);
	buf_release(&out);
	free(was);
	free(now);
}

static int judge(const struct tidy *t, const char *path)
{
	size_t change = tidy_first_change(t);

	if (change == t->n)
		return TOOL_DONE;
	if (diff)
		print_diff(t, slice_of(tool_path_name(path)));
	else
		tool_warn("%s: line %zu is not tidy", tool_path_name(path), change + 1);
	return TOOL_NO;
}

static int judge_file(struct tidy *t, size_t file)
{
	struct buf bytes = BUF_INIT, error = BUF_INIT;
	int status = TOOL_WRONG;

	if (tool_read(book.path[file], &bytes, &error)) {
		arrange(t, buf_slice(&bytes), file);
		status = judge(t, book.path[file]);
	} else
		tool_warn("%s", buf_cstr(&error));
	buf_release(&bytes);
	buf_release(&error);
	return status;
}

static int replace_by(struct atomic_write *r, const struct tidy *t)
{
	struct buf out = BUF_INIT;
	int error;

	if (tidy_first_change(t) == t->n)
		return 0;
	for (size_t i = 0; i < t->n; i++)
		buf_add(&out, tidy_text(t, i));
	error = atomic_write_commit(r, buf_slice(&out));
	buf_release(&out);
	return error;
}

static int replace_file(struct tidy *t, size_t file)
{
	const char *path = book.path[file];
	struct buf bytes = BUF_INIT;
	struct atomic_write r;
	int error = atomic_write_open(&r, path);

	if (!error)
		error = atomic_write_read(&r, &bytes);
	if (!error) {
		arrange(t, buf_slice(&bytes), file);
		error = replace_by(&r, t);
	}
	atomic_write_close(&r);
	buf_release(&bytes);
	if (error)
		tool_warn("%s is as it was: %s", path, atomic_write_error(error));
	return error ? TOOL_WRONG : TOOL_DONE;
}

static int each_file(int (*work)(struct tidy *, size_t))
{
	struct tidy t;
	int status = TOOL_DONE, bad;

	tidy_init(&t);
	for (size_t i = 0; i < book.npaths; i++) {
		int one = work(&t, i);

		if (one > status)
			status = one;
	}
	tidy_release(&t);
	bad = told_bad();
	return bad > status ? bad : status;
}

static void check_use(void)
{
	if (in_place && (check || diff))
		tool_misused("--in-place changes files and --check and --diff do not; take one of them");
	if (in_place && !tool.n_operands && !tool.book)
		tool_misused("--in-place needs a file");
	for (size_t i = 0; in_place && i < tool.n_operands; i++)
		if (strcmp(tool.operands[i], "-") == 0)
			tool_misused("--in-place cannot replace standard input");
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	check_use();
	book_start(&book, 0);
	diags_set_level(&book.diags, RULE_BYTE_ORDER_MARK, LEVEL_NONE);
	diags_set_level(&book.diags, RULE_CARRIAGE_RETURN, LEVEL_NONE);
	parser_init(&parser, &book.vocab, &book.diags);
	if (in_place)
		status = each_file(replace_file);
	else if (check || diff)
		status = each_file(judge_file);
	else if (no_sort)
		status = print_as_they_come();
	else
		status = print_sorted();
	parser_release(&parser);
	return tool_finish(status);
}
