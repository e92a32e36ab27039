/*
 * tool_group.h - what the filters share that answer by groups: --by, --from and --to, --workers
 * and those of tool_state.h. The tool's own table has --by, so that its help can say by what:
 *
 *	OPT_TEXT(0, "by", &tool_group_by, "KEY,...", "a row for each of place, month (place,month)"),
 *	OPT_PART(tool_group_options),
 *
 * Like tool.h this is a half of a main: it keeps state of the process, prints and may end it.
 *
 *	tool_start(&page, argc, argv);
 *	tool_group_start(words, "place,month");
 *	book_start(&book, 0);
 *	groups_init(&all, &plan);
 *	... what else the settings of a state must say is added to tool_group.settings ...
 *	status = tool_group_read(&book, &work, &state);
 *	if (!tool_state.partial)
 *		... print the answer ...
 *	return tool_finish(status);
 */
#ifndef WITHY_TOOL_GROUP_H
#define WITHY_TOOL_GROUP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cli/tool_book.h"
#include "cli/tool_state.h"
#include "table/group.h"

struct book;
struct partial;
struct scan_work;

struct tool_group {
	int32_t from, to;                /* days, both counted in; INT32_MIN and INT32_MAX when not given */
	size_t by[GROUP_KEYS_MOST], nby; /* the words chosen, as indexes, in the order given */
	struct buf settings;             /* what has to be alike for two states to add up */
};

extern struct tool_group tool_group;
extern const char *tool_group_by;
extern const struct opt tool_group_options[]; /* with those of --workers and tool_state.h */

/*
 * Reads --by, a list of some of `words` (NULL-ended), each once; without it `usual`. Wrong use ends
 * the process.
 */
void tool_group_start(const char *const *words, const char *usual);

/*
 * Reads `text`, a list of some of `words`, each once, into `chosen` as indexes; returns how many.
 * `option` is what messages call it: "--by".
 */
size_t tool_group_list(const char *option, const char *text, const char *const *words, size_t *chosen);

/* Whether the answer has that key. */
bool tool_group_has(size_t word);

static inline bool tool_group_covers(int32_t day)
{
	return day >= tool_group.from && day <= tool_group.to;
}

/*
 * Reads the book through `work`, or with --merge the operands as states into s->set. What cannot
 * be read, or must not be answered over, ends the process. With --partial the state is printed.
 * The result is the status so far.
 */
int tool_group_read(struct book *b, const struct scan_work *work, struct partial *s);

#endif
