/*
 * tool_jot_ask.h - the form of wy-jot --ask: it asks for the parts of an entry one after another, with the choices that
 * the house and the book give, shows the line, and writes it when the person says so.
 *
 * Like tool.h this prints and may end the process.
 */
#ifndef WITHY_TOOL_JOT_ASK_H
#define WITHY_TOOL_JOT_ASK_H

#include "cli/tool_jot.h"

/* The exit status: TOOL_DONE, or TOOL_NO where the person left and nothing was written. */
int tool_jot_ask(struct tool_jot *t);

#endif
