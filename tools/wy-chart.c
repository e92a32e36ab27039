/* wy-chart - a picture of what the other filters print; wy-chart(1). */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <unistd.h>

#include "chart/picture.h"
#include "cli/tool.h"
#include "table/table_load.h"

enum { AS_SVG, AS_TEXT, AS_ASCII };

static const char *const forms[] = { "svg", "text", "ascii", NULL };

static int form = -1;
static int64_t width;
static const char *ids = "wy";
static bool list, untitled;

static const struct opt options[] = {
	OPT_WORD(0, "as", &form, forms, "form of the picture (text on a terminal, svg elsewhere)"),
	OPT_INT(0, "width", &width, "N", PICTURE_CELLS_LEAST, PICTURE_PX_MOST,
		"of svg in px (720; 360 for a phone), else in columns\n(the terminal's, or 80)"),
	OPT_TEXT(0, "ids", &ids, "WORD", "the start of each id in the svg (wy); it must be\nunique in a page"),
	OPT_FLAG(0, "untitled", &untitled, "do not draw the finding; svg keeps it as its title"),
	OPT_FLAG(0, "kinds", &list, "list the kinds, each with its question and a command\nwhose output it draws"),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-chart",
	.purpose = "a picture of what the other filters print",
	.usage = "KIND [options] [FILE...]\n--kinds",
	.options = options,
	.exits = "0  done\n1  the tables have nothing to draw, or lack a column that the kind needs\n"
		"2  usage error, or something could not be read or written",
	.example = "wy-dry -b --curve --charge K27-09 | wy-chart drying >k27-09.svg\nhow the charge K27-09 dries",
};

/* ---- the kinds */

static int list_kinds(void)
{
	static const struct table_column columns[] = { { "kind", TABLE_TEXT, 0, "kind" }, { "question", TABLE_TEXT, 0, "question" },
		{ "command", TABLE_TEXT, 0, "command" } };
	struct table t;

	table_init(&t, columns, sizeof columns / sizeof *columns);
	for (int i = 0; i < PICTURE_KINDS; i++) {
		table_cstr(&t, picture_words[i]);
		table_cstr(&t, picture_question((enum picture_kind)i));
		table_cstr(&t, picture_command((enum picture_kind)i));
	}
	return tool_end_table(&t, TOOL_DONE);
}

/* All kinds, for a message. */
static const char *kind_words(void)
{
	static struct buf words;

	for (int i = 0; !words.n || i < PICTURE_KINDS; i++)
		buf_printf(&words, "%s%s", i ? ", " : "", picture_words[i]);
	return buf_cstr(&words);
}

static enum picture_kind named_kind(void)
{
	if (!tool.n_operands)
		tool_misused("name a kind of picture: %s", kind_words());
	for (int i = 0; i < PICTURE_KINDS; i++)
		if (strcmp(tool.operands[0], picture_words[i]) == 0)
			return (enum picture_kind)i;
	tool_misused("'%s' is not a kind of picture; write one of %s", tool.operands[0], kind_words());
}

/* ---- reading */

static void load(struct tables *tables, const char *path)
{
	struct buf error = BUF_INIT;
	bool in = strcmp(path, "-") == 0;
	int fd = in ? STDIN_FILENO : open(path, O_RDONLY | O_CLOEXEC);

	if (fd < 0)
		tool_fail("cannot read %s: %s", path, strerror(errno));
	if (in)
		tool_hint();
	if (!tables_load(tables, fd, tool_path_name(path), &error))
		tool_fail("%s", buf_cstr(&error));
	if (!in)
		close(fd);
}

static void load_all(struct tables *tables)
{
	if (tool.n_operands == 1)
		load(tables, "-");
	for (size_t i = 1; i < tool.n_operands; i++)
		load(tables, tool.operands[i]);
}

/* ---- drawing */

/* Whether the terminal shows UTF-8, by the variables that say so, the first that is set. */
static bool shows_utf8(void)
{
	static const char *const names[] = { "LC_ALL", "LC_CTYPE", "LANG" };

	for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
		const char *value = getenv(names[i]);

		if (value && *value)
			return strstr(value, "UTF-8") || strstr(value, "utf-8") || strstr(value, "UTF8") || strstr(value, "utf8");
	}
	return false;
}

static struct picture_style style(void)
{
	enum { PX = 720, CELLS = 80 };
	struct picture_style s = { .ids = ids, .untitled = untitled };

	if (form < 0)
		form = isatty(STDOUT_FILENO) ? AS_TEXT : AS_SVG;
	s.medium = form == AS_SVG ? PICTURE_SVG : form == AS_TEXT && shows_utf8() ? PICTURE_CELLS : PICTURE_ASCII;
	s.width = width ? (unsigned)width : form == AS_SVG ? PX : tool_width() ? tool_width() : CELLS;
	return s;
}

/* An id of XML and of CSS alike. */
static void check_ids(void)
{
	static const char letters[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ";

	if (!*ids || !strchr(letters, *ids) || strspn(ids, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_") < strlen(ids))
		tool_misused("'%s' cannot begin an id; write a letter, then letters, digits, - and _, such as --ids=k27-09", ids);
}

static int draw(enum picture_kind kind)
{
	struct buf picture = BUF_INIT, sentence = BUF_INIT, error = BUF_INIT;
	struct picture_style s = style();
	struct tables tables = { 0 };
	int status = TOOL_DONE;

	load_all(&tables);
	if (picture_draw(kind, (const struct table *const *)tables.v, tables.n, &s, &picture, &sentence, &error)) {
		tool_put_buf(&picture);
	} else {
		tool_warn("%s", buf_cstr(&error));
		status = TOOL_NO;
	}
	buf_release(&picture);
	buf_release(&sentence);
	buf_release(&error);
	tables_release(&tables);
	return status;
}

int main(int argc, char **argv)
{
	tool_start(&page, argc, argv);
	if (list)
		return tool_finish(list_kinds());
	check_ids();
	return tool_finish(draw(named_kind()));
}
