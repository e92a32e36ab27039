#include "cli/tool_group.h"

#include <stdio.h>

static struct opt_day from = { .day = INT32_MIN }, to = { .day = INT32_MAX };

const char *tool_group_by;

struct tool_group tool_group = { .from = INT32_MIN, .to = INT32_MAX };

const struct opt tool_group_options[] = {
	OPT_DAY(0, "from", &from, "only entries of this day and later"),
	OPT_DAY(0, "to", &to, "only entries of this day and earlier"),
	OPT_PART(tool_state_options),
	OPT_PART(book_worker_options),
	OPT_END
};

bool tool_group_has(size_t word)
{
	for (size_t i = 0; i < tool_group.nby; i++)
		if (tool_group.by[i] == word)
			return true;
	return false;
}

static _Noreturn void no_such_word(const char *option, struct slice word, const char *const *words)
{
	struct buf list = BUF_INIT;

	for (size_t i = 0; words[i]; i++)
		buf_printf(&list, "%s%s", i ? ", " : "", words[i]);
	tool_misused("%s accepts %s, but not '%.*s'", option, buf_cstr(&list), (int)word.n, word.p);
}

static size_t index_of(const char *option, struct slice word, const char *const *words)
{
	for (size_t i = 0; words[i]; i++)
		if (slice_eq(word, slice_of(words[i])))
			return i;
	no_such_word(option, word, words);
}

size_t tool_group_list(const char *option, const char *text, const char *const *words, size_t *chosen)
{
	struct slice rest = slice_of(text);

	for (size_t n = 0;;) {
		size_t comma = slice_find(rest, ',');
		size_t word = index_of(option, slice_upto(rest, comma), words);

		for (size_t i = 0; i < n; i++)
			if (chosen[i] == word)
				tool_misused("%s has %s twice", option, words[word]);
		chosen[n++] = word;
		if (comma == rest.n)
			return n;
		rest = slice_from(rest, comma + 1);
	}
}

void tool_group_start(const char *const *words, const char *usual)
{
	if (!tool_group_by)
		tool_group_by = usual;
	tool_group.nby = tool_group_list("--by", tool_group_by, words, tool_group.by);
	tool_group.from = from.day;
	tool_group.to = to.day;
	if (from.day > to.day)
		tool_misused("--from=%s is after --to=%s", from.text, to.text);
	buf_printf(&tool_group.settings, "by=%s from=%s to=%s", tool_group_by, from.text ? from.text : "-", to.text ? to.text : "-");
}

int tool_group_read(struct book *b, const struct scan_work *work, struct partial *s)
{
	int status;

	s->settings = buf_slice(&tool_group.settings);
	tool_state_check();
	if (tool_state.merge)
		status = tool_state_merge(s);
	else {
		book_scan(b, work);
		status = book_end(b);
		s->left_out = b->unread;
	}
	if (tool_state.partial)
		tool_state_print(s);
	return status;
}
