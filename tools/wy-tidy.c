#include <stdlib.h>

#include "base/atomic_write.h"
#include "book/tidy_file.h"
#include "cli/tool_book.h"

static bool untidy, changes, replace, no_sort;
static struct opt_list fixes;
static bool fix[RULES_END];

static const struct opt options[] = {
	OPT_FLAG('u', "untidy", &untidy, "print no book; report the files that are not tidy, and exit 1"),
	OPT_FLAG('c', "changes", &changes, "print the changes as a unified diff, and exit 1 if there are any"),
	OPT_FLAG('r', "replace", &replace, "replace each file by its tidy form"),
	OPT_LIST('f', "fix", &fixes, "RULE,...", "only correct what breaks these rules, or all; print a unified diff, or with --replace write it"),
	OPT_FLAG(0, "no-sort", &no_sort, "keep the order of the lines"),
	OPT_PART(tool_house_options),
	OPT_PART(tool_stream_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-tidy",
	.purpose = "put a book in its canonical form",
	.usage = "[options] [FILE...]\n--untidy [FILE...]\n--changes [FILE...]\n--replace FILE...\n--fix=RULE,... [--replace] [FILE...]",
	.options = options,
	.exits = "0  done; with --untidy, --changes and --fix: there is nothing to change\n"
		"1  some lines could not be read and were left unchanged;\n"
		"   with --untidy, --changes and --fix: there is something to change\n"
		"2  usage error, a file that cannot be read or replaced, incomplete output",
	.example = "wy-tidy --changes book.wy\nshows the changes that wy-tidy --replace book.wy would make",
};

static struct book book;

static int told_bad(uint64_t unread)
{
	book_tell(&book);
	if (!unread)
		return TOOL_DONE;
	tool_warn("%llu line%s could not be read and %s left unchanged", (unsigned long long)unread,
		PLURAL(unread, "", "s"), PLURAL(unread, "was", "were"));
	return TOOL_NO;
}

/* ---- one book out */

static void put_rows(const struct tidy *t)
{
	for (size_t i = 0; i < t->n; i++)
		tool_put(tidy_text(t, i));
}

static int print_sorted(struct tidy_file *f)
{
	struct buf *bytes = mem_zeroed(book.npaths, sizeof *bytes);

	for (size_t i = 0; i < book.npaths; i++) {
		tool_must_read(book.path[i], &bytes[i]);
		tidy_file_add(f, buf_slice(&bytes[i]), (uint32_t)i);
	}
	tidy_sort(&f->tidy);
	put_rows(&f->tidy);
	for (size_t i = 0; i < book.npaths; i++)
		buf_release(&bytes[i]);
	free(bytes);
	return told_bad(f->unread);
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
	return told_bad(book.unread);
}

/* ---- one file after another */

static void print_diff(const struct tidy_file *f, struct slice name)
{
	struct buf out = BUF_INIT;

	tidy_file_diff(f, name, &out);
	tool_put_buf(&out);
	buf_release(&out);
}

static int judge(const struct tidy_file *f, const char *path)
{
	size_t change = tidy_first_change(&f->tidy);

	if (change == f->tidy.n)
		return TOOL_DONE;
	if (changes || fixes.n)
		print_diff(f, slice_of(tool_path_name(path)));
	else
		tool_warn("%s: line %zu is not tidy", tool_path_name(path), change + 1);
	return TOOL_NO;
}

static int judge_file(struct tidy_file *f, size_t file)
{
	struct buf bytes = BUF_INIT, error = BUF_INIT;
	int status = TOOL_WRONG;

	if (tool_read(book.path[file], &bytes, &error)) {
		tidy_file_arrange(f, buf_slice(&bytes), (uint32_t)file);
		status = judge(f, book.path[file]);
	} else
		tool_warn("%s", buf_cstr(&error));
	buf_release(&bytes);
	buf_release(&error);
	return status;
}

static int replace_file(struct tidy_file *f, size_t file)
{
	const char *path = book.path[file];
	int error = tidy_file_replace(f, path, (uint32_t)file);

	if (error)
		tool_warn("%s was not changed: %s", path, atomic_write_error(error));
	return error ? TOOL_WRONG : TOOL_DONE;
}

static int each_file(struct tidy_file *f, int (*work)(struct tidy_file *, size_t))
{
	int status = TOOL_DONE, bad;

	for (size_t i = 0; i < book.npaths; i++) {
		int one = work(f, i);

		if (one > status)
			status = one;
	}
	bad = told_bad(f->unread);
	return bad > status ? bad : status;
}

static _Noreturn void unknown_rule(struct slice word)
{
	struct slice near = diag_rule_near(word);

	if (near.n)
		tool_misused("unknown rule '%.*s'; perhaps %.*s", (int)word.n, word.p, (int)near.n, near.p);
	tool_misused("unknown rule '%.*s'; wy-check --rules lists the rules; write --fix=all FILE for all that have an exact correction",
		(int)word.n, word.p);
}

/* Which rules a comma list of --fix names. */
static void want_fixes(struct slice list)
{
	if (!list.n)
		tool_misused("--fix names no rule; write --fix=all FILE for all that have an exact correction, or a rule of wy-check --rules");
	while (list.n) {
		struct slice word = slice_upto(list, slice_find(list, ','));
		bool all = slice_eq(word, SLICE("all"));
		int rule = diag_rule_named(word);

		if (!all && rule < 0)
			unknown_rule(word);
		if (!all && !diag_rule(rule)->fix.n)
			tool_misused("%.*s has no exact correction; wy-check --about %.*s says how to correct it", (int)word.n, word.p,
				(int)word.n, word.p);
		for (int i = 0; i < RULES_END; i++)
			fix[i] |= all ? diag_rule(i)->fix.n > 0 : i == rule;
		list = slice_from(list, word.n + (word.n < list.n));
	}
}

static void check_use(void)
{
	if (fixes.n && (untidy || changes || no_sort))
		tool_misused("--fix keeps the form and the order of the lines; give it alone or with --replace");
	for (size_t i = 0; i < fixes.n; i++)
		want_fixes(slice_of(fixes.v[i]));
	if (replace && (untidy || changes))
		tool_misused("give --replace, which changes files, or --untidy or --changes, which do not; not both");
	if (replace && !tool.n_operands && !tool.book)
		tool_misused("--replace requires a file");
	for (size_t i = 0; replace && i < tool.n_operands; i++)
		if (strcmp(tool.operands[i], "-") == 0)
			tool_misused("--replace cannot replace standard input");
}

int main(int argc, char **argv)
{
	struct parser parser;
	struct tidy_file file;
	int status;

	tool_start(&page, argc, argv);
	check_use();
	book_start(&book, 0);
	diags_set_level(&book.diags, RULE_BYTE_ORDER_MARK, LEVEL_NONE);
	diags_set_level(&book.diags, RULE_CARRIAGE_RETURN, LEVEL_NONE);
	parser_init(&parser, &book.vocab, &book.diags);
	tidy_file_init(&file, &parser, no_sort);
	file.fix = fixes.n ? fix : NULL;
	if (replace)
		status = each_file(&file, replace_file);
	else if (untidy || changes || fixes.n)
		status = each_file(&file, judge_file);
	else if (no_sort)
		status = print_as_they_come();
	else
		status = print_sorted(&file);
	tidy_file_release(&file);
	parser_release(&parser);
	return tool_finish(status);
}
