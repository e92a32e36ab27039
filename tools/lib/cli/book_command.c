#include "cli/book_command.h"

#include <stdlib.h>

#include "base/git_head.h"
#include "cli/tool_book.h"

static bool is_plain(const char *word)
{
	static const char plain[] = "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789/._-+,:=@%";

	return *word && word[strspn(word, plain)] == '\0';
}

void book_command_word(const char *word, struct buf *out)
{
	if (is_plain(word)) {
		buf_str(out, word);
		return;
	}
	buf_char(out, '\'');
	for (; *word; word++)
		if (*word == '\'')
			buf_str(out, "'\\''");
		else
			buf_char(out, *word);
	buf_char(out, '\'');
}

static void add_word(const char *option, const char *word, struct buf *out)
{
	buf_str(out, option);
	book_command_word(word, out);
}

void book_command(struct buf *out)
{
	if (tool.house)
		add_word(" -H ", tool.house, out);
	if (tool.book)
		buf_str(out, " -b");
	if (tool.without_bad)
		buf_str(out, " --without-bad");
	for (size_t i = 0; i < tool.n_operands; i++)
		add_word(tool.operands[i][0] == '-' && tool.operands[i][1] ? " ./" : " ", tool.operands[i], out);
}

void book_commit(const struct book *b, struct buf *out)
{
	for (size_t i = 0; i < b->npaths; i++)
		if (strcmp(b->path[i], "-") != 0) {
			git_head(b->path[i], out);
			return;
		}
}

const char **book_names(const struct book *b)
{
	const char **name = mem_array(b->npaths, sizeof *name);

	for (size_t i = 0; i < b->npaths; i++)
		name[i] = tool_path_name(b->path[i]);
	return name;
}

bool book_shows_utf8(void)
{
	static const char *const names[] = { "LC_ALL", "LC_CTYPE", "LANG" };

	for (size_t i = 0; i < sizeof names / sizeof *names; i++) {
		const char *value = getenv(names[i]);

		if (value && *value)
			return strstr(value, "UTF-8") || strstr(value, "utf8") || strstr(value, "UTF8") || strstr(value, "utf-8");
	}
	return false;
}
