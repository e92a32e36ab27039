/*
 * progress.h - how far long work is: one line on standard error, rewritten in place.
 *
 * It is shown only on a terminal, only after a second of work, and never while standard output goes
 * to a pipe, for then another tool of the pipeline may print on the same terminal. Nothing that is kept in a
 * file ever has a byte of it. Only the main thread may call these functions.
 */
#ifndef WITHY_PROGRESS_H
#define WITHY_PROGRESS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* Whether it would ever be shown: lets a caller save the counting. The first call starts the clock. */
bool progress_is_wanted(void);

/* So many bytes of the book were read, of `all`; 0: nobody knows how many there are. */
void progress_bytes(uint64_t done, uint64_t all);

/* So many of `all` things are done: "charges". */
void progress_count(const char *things, size_t done, size_t all);

/* Removes the line, before something else is printed. */
void progress_clear(void);

/* The same before the first byte of standard output; if that is a terminal, no line is shown after it. */
void progress_output(void);

#endif
