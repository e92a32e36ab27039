/*
 * output.h - standard output: held in one buffer, written in whole lines where a reader waits, and
 * marked when it is cut short.
 *
 * A signal that ends the process (SIGINT, SIGTERM, SIGHUP) ends output that was begun with the line
 * `#! incomplete` on a line of its own, so that no half of a line passes for a whole one. What was
 * not written yet is dropped. A signal that the parent ignores stays ignored.
 *
 * Like tool.h this keeps state of the process; the library must not call it.
 */
#ifndef WITHY_OUTPUT_H
#define WITHY_OUTPUT_H

#include <stdbool.h>

#include "base/text.h"

/* To be called first, by the thread that writes. `at_once`: each line is written as soon as it ends. */
void output_start(bool at_once);

/* Adds to the output. False when it cannot be written; errno says why. */
bool output_add(struct slice s);

/* Writes what is held. False when it cannot be written; errno says why. */
bool output_flush(void);

/* Whether something was added. */
bool output_started(void);

/* Writes what is held, and the mark if anything was added; nothing after a failure. */
void output_incomplete(void);

/* Writes what is held and closes. False when something was not written; errno says why. */
bool output_end(void);

#endif
