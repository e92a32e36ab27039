#include "cli/tool_state.h"

struct tool_state tool_state;

const struct opt tool_state_options[] = {
	OPT_FLAG(0, "partial", &tool_state.partial, "write the counts as a state for --merge instead of an answer"),
	OPT_FLAG(0, "merge", &tool_state.merge, "read states instead of a book, and answer for all of them"),
	OPT_END
};

void tool_state_check(void)
{
	if (tool_state.merge && tool.book)
		tool_misused("--merge reads states and --book reads a book; give only one of them");
	if (tool_state.partial && tool.form >= 0 && tool.form != TABLE_AS_TSV)
		tool_misused("--partial writes only tsv, the form that --merge reads");
	if (tool_state.partial)
		tool.form = TABLE_AS_TSV;
}

static void merge_file(struct partial *s, const char *path)
{
	struct buf text = BUF_INIT, error = BUF_INIT;

	tool_must_read(path, &text);
	if (!partial_read(s, buf_slice(&text), &error))
		tool_fail("%s: %s", tool_path_name(path), buf_cstr(&error));
	buf_release(&text);
	buf_release(&error);
}

int tool_state_merge(struct partial *s)
{
	for (size_t i = 0; i < tool.n_operands; i++)
		merge_file(s, tool.operands[i]);
	if (!tool.n_operands)
		merge_file(s, "-");
	if (!s->left_out)
		return TOOL_DONE;
	tool_warn("%llu line%s skipped when the states were made", (unsigned long long)s->left_out, PLURAL(s->left_out, "", "s"));
	return TOOL_NO;
}

void tool_state_print(const struct partial *s)
{
	struct table t;

	partial_write(s, &t);
	tool_print_table(&t);
	table_release(&t);
}
