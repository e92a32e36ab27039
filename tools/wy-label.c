/* wy-label - labels for racks, lots and charges, with the QR code of the id; wy-label(1). */
#include <stdlib.h>

#include "cli/tool.h"
#include "label/label.h"

enum { AS_HTML, AS_SVG };

static const char *const form_words[] = { "html", "svg", NULL };
static int form = AS_HTML;
static int64_t across = 2, down = 6, skip;

static const struct opt options[] = {
	OPT_INT(0, "across", &across, "N", 1, 4, "labels beside each other on a sheet of A4 (2)"),
	OPT_INT(0, "down", &down, "N", 1, 12, "labels below each other (6)"),
	OPT_INT(0, "skip", &skip, "N", 0, 47, "leave out the first N places of the first sheet, which are used up"),
	OPT_WORD(0, "as", &form, form_words, "html (the default), or svg for one sheet"),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-label",
	.purpose = "labels for racks, lots and charges, with the QR code of the id",
	.usage = "[options] [ID...]",
	.options = options,
	.exits = "0  done\n1  no id\n2  usage error, an id that cannot be a code, or something could not be read or written",
	.example = "wy-label store/r1 store/r2 C016 >labels.html\na sheet with three labels; without ID, a line of standard input each",
};

static struct label *label;
static size_t n, cap;

static void add_label(struct slice id)
{
	label = mem_grow(label, &cap, n + 1, sizeof *label);
	label[n++] = (struct label){ .id = id, .n = 0 };
}

/* An id, and up to three texts, with tabs between. Empty lines are passed over. */
static void take_line(struct slice line)
{
	size_t tab = slice_find(line, '\t');

	if (!slice_trim(line).n)
		return;
	add_label(slice_trim(slice_upto(line, tab)));
	while (tab < line.n && label[n - 1].n < LABEL_LINES_MOST) {
		line = slice_from(line, tab + 1);
		tab = slice_find(line, '\t');
		if (slice_trim(slice_upto(line, tab)).n)
			label[n - 1].line[label[n - 1].n++] = slice_trim(slice_upto(line, tab));
	}
}

static void take_input(struct buf *input)
{
	struct slice left;

	tool_must_read("-", input);
	for (left = buf_slice(input); left.n;) {
		size_t end = slice_find(left, '\n');

		take_line(slice_upto(left, end && left.p[end - 1] == '\r' ? end - 1 : end));
		left = slice_from(left, end < left.n ? end + 1 : end);
	}
}

/* The place of an id for a message: the line of standard input that it is in. Nothing for an operand. */
static void say_place(struct buf *place, const struct buf *input, struct slice id)
{
	size_t line = 1;

	if (tool.n_operands)
		return;
	for (const char *at = input->p; at < id.p; at++)
		line += *at == '\n';
	buf_printf(place, "%s:%zu: ", tool_path_name("-"), line);
}

static void write_labels(const struct label_sheets *sheets, const struct buf *input, struct buf *out)
{
	struct buf place = BUF_INIT;
	size_t bad = 0;
	bool done;

	if (form == AS_SVG && label_sheets(sheets, n) > 1)
		tool_misused("%zu labels take %zu sheets; --as=svg is one sheet; use --as=html", n, label_sheets(sheets, n));
	done = form == AS_SVG ? label_sheet_svg(sheets, label, n, 0, out, &bad) : label_sheets_html(sheets, label, n, out, &bad);
	if (!done) {
		say_place(&place, input, label[bad].id);
		tool_fail("%s'%.*s' cannot be a QR code; write an id of at most 200 letters and digits of ASCII", buf_cstr(&place),
			label[bad].id.n < 40 ? (int)label[bad].id.n : 40, label[bad].id.p);
	}
}

int main(int argc, char **argv)
{
	struct buf input = BUF_INIT, out = BUF_INIT;
	struct label_sheets sheets;

	tool_start(&page, argc, argv);
	sheets = (struct label_sheets){ (int)across, (int)down, (int)skip };
	if (skip >= across * down)
		tool_misused("--skip=%lld leaves no place on a sheet of %lld labels", (long long)skip, (long long)(across * down));
	for (size_t i = 0; i < tool.n_operands; i++)
		take_line(slice_of(tool.operands[i]));
	if (!tool.n_operands)
		take_input(&input);
	if (n) {
		write_labels(&sheets, &input, &out);
		tool_put_buf(&out);
	} else
		tool_warn("there is no id; give some, or a line of standard input for each");
	buf_release(&input);
	buf_release(&out);
	free(label);
	return tool_finish(n ? TOOL_DONE : TOOL_NO);
}
