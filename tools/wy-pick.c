#include <stdlib.h>
#include <sys/stat.h>

#include "book/select.h"
#include "book/select_count.h"
#include "cli/tool_book.h"
#include "cli/tool_state.h"
#include "table/group.h"

static bool any, others, number, locate, keep_remarks;

static const struct opt options[] = {
	OPT_FLAG('a', "any", &any, "one condition is enough"),
	OPT_FLAG('o', "others", &others, "print the entries that do not match"),
	OPT_FLAG('n', "number", &number, "print only the number of entries"),
	OPT_FLAG('l', "locate", &locate, "print FILE:LINE: in front of each"),
	OPT_FLAG('k', "keep-remarks", &keep_remarks, "print comment lines and blank lines too"),
	OPT_PART(tool_state_options),
	OPT_PART(tool_house_options),
	OPT_PART(tool_bad_options),
	OPT_PART(book_worker_options),
	OPT_PART(tool_stream_options),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-pick",
	.purpose = "print the entries that match",
	.usage = "[options] [CONDITION...] [FILE...]\n--number --merge [options] [CONDITION...] [STATE...]",
	.options = options,
	.exits = "0  something was found\n"
		"1  nothing was found, or some lines could not be read\n"
		"2  usage error, a file that cannot be read, incomplete output",
	.example = "wy-pick event=probe date=2026-06.. mc=10%.. book.wy\nfinds readings that were still wet",
};

static struct book book;
static const char **words; /* the conditions, as they are written */
static size_t nwords;
static struct select conditions;
static struct buf error, out;
static uint64_t found;

/* Conditions come off the operands; what is left are files. */
static void take_conditions(void)
{
	size_t files = 0;

	words = mem_array(tool.n_operands, sizeof *words);
	for (size_t i = 0; i < tool.n_operands; i++) {
		if (select_is_condition(slice_of(tool.operands[i])))
			words[nwords++] = tool.operands[i];
		else
			tool.operands[files++] = tool.operands[i];
	}
	tool.operands[files] = NULL;
	tool.n_operands = files;
}

static void read_conditions(void)
{
	select_init(&conditions, &book.vocab);
	conditions.any = any;
	for (size_t i = 0; i < nwords; i++)
		if (!select_add(&conditions, slice_of(words[i]), &error))
			tool_misused("%s: %s", words[i], buf_cstr(&error));
}

static const char *path_name(void)
{
	return tool_path_name(book.path[book.at]);
}

static void put_line(const struct line *l)
{
	if (locate)
		buf_printf(&out, "%s:%llu:", path_name(), (unsigned long long)l->number);
	buf_add(&out, l->text);
	buf_char(&out, '\n');
	tool_put_buf(&out);
}

static void take_entry(const struct line *l)
{
	enum select_result r = select_match(&conditions, l, &error);

	if (r == SELECT_FAILED)
		tool_fail("%s:%llu: %s", path_name(), (unsigned long long)l->number, buf_cstr(&error));
	if ((r == SELECT_YES) == others)
		return;
	found++;
	if (!number)
		put_line(l);
}

static void take_line(const struct line *l)
{
	if (l->kind == LINE_EVENT)
		take_entry(l);
	else if (l->kind != LINE_BAD && keep_remarks && !number)
		put_line(l);
}

/* Lines are missing, and whoever reads the output must know, unless that was asked for. */
static int finish_lines(void)
{
	if (!book.unread)
		return found ? TOOL_DONE : TOOL_NO;
	tool_warn("%llu line%s could not be read and %s left out", (unsigned long long)book.unread,
		PLURAL(book.unread, "", "s"), PLURAL(book.unread, "is", "are"));
	if (!tool.without_bad)
		tool_put(SLICE("#! incomplete\n"));
	return TOOL_NO;
}

/* ---- the number, and its state */

static const char *const COUNTS[] = { "n" };
static const struct groups_plan PLAN = { .name = "matched", .ncounts = 1, .counts = COUNTS };

/* What has to be alike for two numbers to be added. */
static void write_settings(struct buf *text)
{
	buf_str(text, any ? "any" : "all");
	buf_str(text, others ? " others" : "");
	for (size_t i = 0; i < nwords; i++) {
		if (strpbrk(words[i], "\t\n"))
			tool_misused("a state cannot hold a condition with a tab or a line end; write \\t or \\n in a pattern");
		buf_printf(text, " %s", words[i]);
	}
}

/* Reads states into `found`, or writes it as one. */
static int use_state(int status)
{
	struct groups groups, *set = &groups;
	struct buf settings = BUF_INIT;
	struct partial state = { .tool = "wy-pick", .set = &set, .nsets = 1, .left_out = book.unread };

	groups_init(&groups, &PLAN);
	write_settings(&settings);
	state.settings = buf_slice(&settings);
	groups_at(&groups, NULL)->count[0] = (int64_t)found;
	if (tool_state.merge)
		status = tool_state_merge(&state);
	found = (uint64_t)groups.list[0]->count[0];
	if (tool_state.partial)
		tool_state_print(&state);
	groups_release(&groups);
	buf_release(&settings);
	return status;
}

static int finish_number(void)
{
	int status = tool_state.merge ? TOOL_DONE : book_end(&book);

	if (tool_state.partial || tool_state.merge)
		status = use_state(status);
	if (tool_state.partial)
		return status;
	buf_printf(&out, "%llu\n", (unsigned long long)found);
	tool_put_buf(&out);
	return status || !found ? TOOL_NO : TOOL_DONE;
}

/* Whether all is in files, which can be read once more. */
static bool are_files(void)
{
	struct stat st;

	for (size_t i = 0; i < book.npaths; i++)
		if (strcmp(book.path[i], "-") == 0 || (stat(book.path[i], &st) == 0 && !S_ISREG(st.st_mode)))
			return false;
	return true;
}

/* False when a pattern gave up: the lines are then to be read in turn, to say at which one. */
static bool count_at_once(void)
{
	struct select_count count = { .vocab = &book.vocab, .word = words, .nwords = nwords, .any = any, .others = others };
	const struct scan_work work = select_count_work(&count);

	book_scan(&book, &work);
	found = count.found;
	if (!count.failed)
		return true;
	diags_clear(&book.diags);
	book.unread = found = 0;
	return false;
}

static void read_lines(void)
{
	const struct line *l;

	while ((l = book_next(&book))) {
		take_line(l);
		if (book.diags.n)
			book_tell(&book);
	}
}

static void check_options(void)
{
	if (number && (locate || keep_remarks))
		tool_misused("--number prints no lines; leave out --locate and --keep-remarks");
	if ((tool_state.partial || tool_state.merge) && !number)
		tool_misused("--partial and --merge need --number; entries that match need no state, only cat");
	tool_state_check();
}

int main(int argc, char **argv)
{
	int status;

	tool_start(&page, argc, argv);
	check_options();
	take_conditions();
	book_start(&book, 0);
	read_conditions();
	if (!tool_state.merge && !(number && are_files() && count_at_once()))
		read_lines();
	status = number ? finish_number() : finish_lines();
	free(words);
	select_release(&conditions);
	return tool_finish(status);
}
