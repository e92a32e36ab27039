#include <stdio.h>
#include <unistd.h>

#include "check/check.h"
#include "check/check_report.h"
#include "check/sarif.h"
#include "cli/tool_book.h"

enum { AS_SARIF = TABLE_AS_HTML + 1 };

static int form = -1;
static bool about, list_rules, list_events, by_line, quiet;
static uint64_t lines; /* of the files to be checked */
static struct opt_list levels, against, before;

static const char *const form_words[] = { "text", "tsv", "csv", "json", "md", "html", "sarif", NULL };

static const struct opt options[] = {
	OPT_PART(tool_house_options),
	OPT_WORD(0, "as", &form, form_words, "form of the answer (text); sarif is SARIF 2.1.0"),
	OPT_FLAG(0, "no-header", &tool.no_header, "leave out the header row"),
	OPT_PART(tool_column_options),
	OPT_LIST(0, "against", &against, "BOOK", "read BOOK too, but report no problems in it"),
	OPT_LIST(0, "before", &before, "BOOK", "BOOK is an earlier state: report changes on closed days"),
	OPT_FLAG(0, "by-line", &by_line, "check each line alone, as for a part of a book"),
	OPT_LIST(0, "level", &levels, "RULE=LEVEL", "set the level of a rule: none, note, warning or error"),
	OPT_FLAG('q', "quiet", &quiet, "print nothing; only the exit status shows errors"),
	OPT_FLAG(0, "about", &about, "explain the named rules, or all"),
	OPT_FLAG(0, "rules", &list_rules, "list the rules and their levels here"),
	OPT_FLAG(0, "events", &list_events, "list the named events, or all, with their fields"),
	OPT_PART(tool_mark_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-check",
	.purpose = "find everything that is wrong with a book",
	.usage = "[options] [FILE...]\n--about [RULE...]\n--rules [RULE...]\n--events [EVENT...]",
	.options = options,
	.exits = "0  no errors; there may be warnings and notes\n1  errors\n2  usage error, or something could not be read or written",
	.example = "wy-check -b\nchecks the book that house.yaml names",
};

/* ---- what the options ask for */

static void set_level(struct diags *d, const char *text)
{
	struct slice s = slice_of(text);
	size_t at = slice_find(s, '=');
	int rule = diag_rule_named(slice_upto(s, at)), level;
	struct slice near = diag_rule_near(slice_upto(s, at));

	if (at == s.n)
		tool_misused("--level takes RULE=LEVEL, not %s", text);
	level = diag_level_named(slice_from(s, at + 1));
	if (rule < 0)
		tool_misused("unknown rule %.*s; %s%.*s", (int)at, text, near.n ? "perhaps " : "wy-check --rules lists the rules", (int)near.n, near.p);
	if (level < 0)
		tool_misused("a level must be none, note, warning or error, not %s", text + at + 1);
	diags_set_level(d, rule, level);
}

static void print_list(struct book *b)
{
	struct table t;
	struct slice bad = SLICE("");

	if (form == AS_SARIF)
		tool_misused("--as=sarif is only for the problems of a book");
	if (list_events ? !check_report_events(&t, &b->vocab, tool.operands, &bad) : !check_report_rules(&t, &b->diags, tool.operands, &bad))
		tool_misused("unknown %s %.*s", list_events ? "event" : "rule", (int)bad.n, bad.p);
	tool.form = form;
	tool_print_table(&t);
	table_release(&t);
}

static void print_explanations(struct book *b)
{
	struct buf out = BUF_INIT;

	for (char **name = tool.operands; *name; name++) {
		int rule = diag_rule_named(slice_of(*name));
		struct slice near = diag_rule_near(slice_of(*name));

		if (rule < 0)
			tool_misused("unknown rule %s; %s%.*s", *name, near.n ? "perhaps " : "wy-check --rules lists the rules", (int)near.n, near.p);
		check_report_about_rule(&out, &b->diags, rule, tool_width());
	}
	for (int rule = 0; !*tool.operands && rule < RULES_END; rule++)
		check_report_about_rule(&out, &b->diags, rule, tool_width());
	tool_put_buf(&out);
	buf_release(&out);
}

/* Prints information about the tool itself, without a book; operands are then names and not files. */
static int print_help(struct book *b)
{
	size_t operands = tool.n_operands;

	tool.n_operands = 0;
	book_start(b, BOOK_QUIET);
	tool.n_operands = operands;
	for (size_t i = 0; i < levels.n; i++)
		set_level(&b->diags, levels.v[i]);
	if (about)
		print_explanations(b);
	else
		print_list(b);
	return tool_finish(TOOL_DONE);
}

/* ---- reporting */

static void print_table(const struct book *b)
{
	struct table t;

	check_report_diags(&t, &b->diags, b->path);
	tool.form = form;
	tool_print_table(&t);
	table_release(&t);
}

static void print_sarif(const struct book *b, const struct sarif *sarif)
{
	struct buf out = BUF_INIT;

	sarif_write(&out, sarif, &b->diags, b->path, WITHY_VERSION);
	tool_put_buf(&out);
	buf_release(&out);
}

static void print_lines(const struct book *b)
{
	bool marked = tool_marked(STDOUT_FILENO);
	struct buf out = BUF_INIT;

	for (size_t i = 0; i < b->diags.n; i++) {
		const struct diag *row = &b->diags.row[i];

		check_report_diag(&out, &b->diags, row, tool_path_name(b->path[row->place.file]), marked, tool_width());
		tool_put_buf(&out);
	}
	buf_release(&out);
}

/* After the diagnostics, also where both outputs are one terminal. */
static void print_summary(const struct diags *d)
{
	struct buf out = BUF_INIT;

	tool_flush();
	buf_count(&out, (int64_t)d->count[LEVEL_ERROR], "error");
	buf_str(&out, ", ");
	buf_count(&out, (int64_t)d->count[LEVEL_WARNING], "warning");
	buf_str(&out, ", ");
	buf_count(&out, (int64_t)d->count[LEVEL_NOTE], "note");
	buf_str(&out, " in ");
	buf_count(&out, (int64_t)lines, "line");
	buf_char(&out, '\n');
	fwrite(out.p, 1, out.n, stderr);
	buf_release(&out);
}

/* ---- checking */

static void refuse_twice(const struct book *b)
{
	size_t n = 0;

	for (size_t i = 0; i < b->npaths; i++)
		n += strcmp(b->path[i], "-") == 0;
	if (n > 1)
		tool_misused("standard input can be read only once");
}

static struct check_files files;
static struct sarif sarif;

/* The files to be checked, then those that they are checked against. */
static struct check *start(struct book *b)
{
	book_start(b, BOOK_QUIET | BOOK_PATTERNS);
	for (size_t i = 0; i < levels.n; i++)
		set_level(&b->diags, levels.v[i]);
	files.against = (uint32_t)b->npaths;
	for (size_t i = 0; i < against.n; i++)
		book_add(b, against.v[i]);
	files.before = before.n ? (uint32_t)b->npaths : CHECK_NO_FILE;
	for (size_t i = 0; i < before.n; i++)
		book_add(b, before.v[i]);
	files.path = b->path;
	refuse_twice(b);
	if (before.n && (!b->house || b->house->closed == HOUSE_NO_DAY))
		tool_misused("--before requires the last closed day in the house file, such as closed: 2026-11-30");
	return check_new(&b->vocab, b->house, b->zone, &b->diags, files, CHECK_APART | (by_line ? CHECK_BY_LINE : 0));
}

static void take_ids(void *check, const struct line *l, int64_t utc_s)
{
	(void)utc_s;
	check_line_ids(check, l);
}

static void take_alone(void *check, const struct line *l, int64_t utc_s)
{
	(void)utc_s;
	check_line_alone(check, l);
	lines += l->file < files.against;
	if (form == AS_SARIF)
		sarif_keep(&sarif, l->file, l->number, l->text);
}

static void end_alone(void *check)
{
	check_alone_end(check);
}

int main(int argc, char **argv)
{
	static struct book book; /* lasts as long as the process */
	struct check *check;

	tool_start(&page, argc, argv);
	if (about + list_rules + list_events > 1)
		tool_misused("give only one of --about, --rules and --events");
	if (about || list_rules || list_events)
		return print_help(&book);
	check = start(&book);
	sarif_init(&sarif);
	book_read_halves(&book, &(const struct book_half){ take_ids, NULL, check }, &(const struct book_half){ take_alone, end_alone, check });
	check_end(check);
	if (check_unread(check))
		tool_warn("%llu line%s of the books given with --against could not be read",
			(unsigned long long)check_unread(check), PLURAL(check_unread(check), "", "s"));
	if (form == AS_SARIF && !quiet)
		print_sarif(&book, &sarif);
	else if ((form > TABLE_AS_TEXT || tool.columns) && !quiet)
		print_table(&book);
	else if (!quiet)
		print_lines(&book);
	if (!quiet)
		print_summary(&book.diags);
	sarif_release(&sarif);
	check_free(check);
	return tool_finish(book.diags.count[LEVEL_ERROR] ? TOOL_NO : TOOL_DONE);
}
