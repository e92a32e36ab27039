/*
 * tool_intake.h - what wy-intake does with the files of an intake: reads their mappings, makes known
 * what the book has, writes the entries to standard output or into a book, and the report to standard
 * error.
 *
 * Like tool.h this prints and may end the process.
 */
#ifndef WITHY_TOOL_INTAKE_H
#define WITHY_TOOL_INTAKE_H

#include <stdbool.h>
#include <stddef.h>

#include "cli/tool_book.h"
#include "intake/append.h"
#include "intake/intake_report.h"

struct intake;
struct intake_counts;
struct intake_files;
struct mapping;
struct zone;

struct tool_intake {
	struct book *book;          /* started: the vocabulary, and the books that are made known */
	const struct zone *works;   /* the works' clock, or NULL */
	const char *const *path;    /* the exports */
	size_t npaths;
	const char *const *map_path; /* one mapping for all, or with `join` one for each */
	size_t nmaps;
	bool join;
	bool loggers;               /* the house's loggers say which mapping each export has */
	bool know;                  /* the books that book_start() opened hold readings not to be taken again */
	const char *into;           /* the book to append to; NULL: standard output */
	struct intake_report report; /* tsv, each and quiet are the caller's */
	/* its own */
	struct mapping *map;        /* nmaps of them: with `loggers` one for each logger */
	uint32_t *map_of;           /* with `loggers`: by file */
	struct intake_counts *done; /* with `loggers`: by file, what was counted up to its end */
	struct intake *run;
	struct house *no_house;     /* the defaults, where there is no house file */
	struct append append;
	struct buf out;
};

/* Does all of it. The result is the exit status: TOOL_DONE, or TOOL_NO when something could not be read. */
int tool_intake_run(struct tool_intake *t);
void tool_intake_release(struct tool_intake *t);

#endif
