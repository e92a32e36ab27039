/*
 * tool_state.h - --partial and --merge: a filter's answer to a part of the lines as a state, and states in
 * place of lines (table/partial.h).
 *
 *	OPT_PART(tool_state_options),
 *	...
 *	tool_start(&page, argc, argv);
 *	tool_state_check();
 *	if (tool_state.merge)
 *		status = tool_state_merge(&state);
 *	else
 *		... read the book; state.left_out = book.unread; ...
 *	if (tool_state.partial)
 *		tool_state_print(&state);
 *
 * Like tool.h this is a half of a main: it keeps state of the process, prints and may end it.
 */
#ifndef WITHY_TOOL_STATE_H
#define WITHY_TOOL_STATE_H

#include <stdbool.h>

#include "cli/tool.h"
#include "table/partial.h"

struct partial;

struct tool_state {
	bool partial, merge;
};

extern struct tool_state tool_state;
extern const struct opt tool_state_options[];

/* Ends the process where the options do not go together. A state is tsv whatever standard output is. */
void tool_state_check(void);

/*
 * Reads the operands, or standard input, as states into `s`. What is not a state for it ends the process.
 * The result is the status so far: lines that were left out when the states were made are reported.
 */
int tool_state_merge(struct partial *s);

void tool_state_print(const struct partial *s);

#endif
