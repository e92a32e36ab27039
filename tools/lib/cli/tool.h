/*
 * tool.h - what every main does: start, common options, reading a file, failing, finishing.
 *
 * This module is the one of tools/lib that prints, exits and keeps state of the process (`tool`):
 * it is the shared half of every main, not library. Library modules must not call it.
 *
 *	int main(int argc, char **argv)
 *	{
 *		tool_start(&page, argc, argv);
 *		... read tool.operands ...
 *		tool_print_table(&t);
 *		return tool_finish(found ? 0 : 1);
 *	}
 *
 * Everything for standard output goes through tool_put() and its kin, so that a full disk is seen
 * when it happens, and a failure after output started ends it with the line `#! incomplete`, as does
 * a signal that ends the process (output.h).
 * Whatever goes wrong exits with 2 and one line `wy-NAME: ...` on standard error.
 */
#ifndef WITHY_TOOL_H
#define WITHY_TOOL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cli/opt.h"
#include "table/table.h"

enum { TOOL_DONE = 0, TOOL_NO = 1, TOOL_WRONG = 2 };

/* The choices of --marks. */
enum { TOOL_MARKS_AUTO, TOOL_MARKS_YES, TOOL_MARKS_NO };

/* The process's own: set by tool_start() from argv through the tables below. */
struct tool {
	const char *name;     /* "wy-moist" */
	char **operands;      /* ended by NULL */
	size_t n_operands;
	const char *house;    /* --house, or NULL */
	bool book;            /* --book: the book that the house file names */
	int form;             /* --as: an enum table_form, or -1 where none was asked */
	bool no_header;       /* --no-header */
	const char *columns;  /* --columns, or NULL */
	bool all_columns;     /* --all-columns */
	struct opt_day on;    /* --on */
	bool without_bad;     /* --without-bad */
	bool line_buffered;   /* --at-once */
	int marks;            /* --marks */
};

extern struct tool tool;

/*
 * Tables of options for OPT_PART. The answer's is house, form, on and bad together.
 * house: -H --house, -b --book. form: --as, --no-header, --columns, --all-columns. on: --on. bad: --without-bad.
 * stream: --at-once. marks: --marks.
 */
extern const struct opt tool_answer_options[];
extern const struct opt tool_house_options[];
extern const struct opt tool_form_options[];
extern const struct opt tool_column_options[]; /* --columns, --all-columns */
extern const struct opt tool_on_options[];
extern const struct opt tool_bad_options[];
extern const struct opt tool_stream_options[];
extern const struct opt tool_mark_options[];

/*
 * To be called first. Makes sure that descriptors 0 to 2 are taken (one that was closed fails when
 * it is used), lets SIGPIPE end the process and ignores SIGXFSZ, sets the handler for memory, reads the options.
 * --help, --version and wrong options end the process here: 0, 0 and 2.
 */
void tool_start(const struct opt_page *page, int argc, char **argv);

/* Adds to standard output; exits with 2 when it cannot be written. */
void tool_put(struct slice s);
void tool_flush(void);            /* writes what was put, before something goes to standard error */
void tool_put_buf(struct buf *b); /* puts all of it and empties it, keeping its memory */

/* Prints in the form that --as says; without it text on a terminal, tsv elsewhere. */
void tool_print_table(const struct table *t);

/* The same, and releases it. Returns `status`, or TOOL_NO for a table without a row. */
int tool_end_table(struct table *t, int status);
void tool_print_tables(const struct table *const *tables, size_t n);

/* The same for a table of very many rows: prints those it holds and forgets them, any number of times; then ends it. */
void tool_print_rows(struct table *t);
void tool_print_rest(struct table *t);

/*
 * How those tables are printed: --as, --no-header, --columns, --all-columns, the terminal. A column that none
 * of them has is wrong use and ends the process.
 */
struct table_style tool_style(const struct table *const *tables, size_t n);

/* The form of --as, as an enum table_form. */
int tool_form(void);

/*
 * A line on standard error, without its end. On a terminal it is wrapped, with what follows the first line
 * indented.
 */
void tool_tell(struct slice line);

/* How many cells a line of standard output has when it is a terminal that says so, else 0. */
unsigned tool_width(void);

/*
 * Flushes and closes standard output. The result is `status`, to be returned from main; when
 * something was not written it says so and exits with 2.
 */
int tool_finish(int status);

/* One line `wy-NAME: ...` on standard error, controls made visible; the process goes on. */
void tool_warn(const char *fmt, ...) __attribute__((format(printf, 1, 2)));

/*
 * The same, then the end with status 2. Where bytes were put before, the output is ended with the
 * line `#! incomplete`, at the start of a line of its own.
 */
_Noreturn void tool_fail(const char *fmt, ...) __attribute__((format(printf, 1, 2)));

/* As tool_fail(), with a pointer to --help: for operands and options that do not go together. */
_Noreturn void tool_misused(const char *fmt, ...) __attribute__((format(printf, 1, 2)));

/*
 * Reads `text`, a comma list of some of `words` (ended by NULL), each at most once, into `chosen` as
 * indexes; returns how many, 0 for an empty text. `option` is what messages call it: "--by". A word
 * that is none of them ends the process as wrong use.
 */
size_t tool_words(const char *option, const char *text, const char *const *words, size_t *chosen);

/*
 * Of options that each give another table, the one that was given, or NULL. `given` has n names, NULL for
 * those that were not. Two of them end the process as wrong use.
 */
const char *tool_one_table(const char *const *given, size_t n);

/*
 * Ends the process with 2 and `#! incomplete` like tool_fail(), when the mistakes were reported already
 * (as diagnostics with their places).
 */
_Noreturn void tool_give_up(void);

/*
 * Reads all of `path` ("-" is standard input) into `into`, which is emptied first: a regular file,
 * a FIFO, a device. False when it cannot be read, is a directory, or a regular file gave fewer
 * bytes than its size promised; then `error` holds "cannot read PATH: why" (no name, no newline).
 */
bool tool_read(const char *path, struct buf *into, struct buf *error);

/* The same, and tool_fail() when it cannot be read. */
void tool_must_read(const char *path, struct buf *into);

/* Prints lines of errors to standard error and releases the buffer. Returns whether there was one. */
bool tool_tell_errors(struct buf *lines);

/* How messages call `path`: "-" is "standard input". */
const char *tool_path_name(const char *path);

/*
 * To be called by who reads standard input otherwise than through tool_read(): when it is a
 * terminal, says on standard error what is being waited for. Once in a process.
 */
void tool_hint(void);

/*
 * The day of the answer (stamp.h): --on, else $WITHY_TODAY, else the day that the works' clock shows
 * now. A $WITHY_TODAY that is not a valid date is a failure; an empty one counts as none. `offset_s`
 * gives the seconds by which that clock is ahead of UTC at a moment (seconds since 1970); NULL: the
 * UTC day.
 */
int32_t tool_today(int64_t (*offset_s)(int64_t utc_s, const void *clock), const void *clock);

/*
 * Whether words that go to `fd` should be marked: as --marks says, and when it says auto, if `fd` is
 * a terminal, NO_COLOR is unset or empty, and TERM is neither unset nor "dumb".
 */
bool tool_marked(int fd);

#endif
