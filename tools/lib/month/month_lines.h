/*
 * month_lines.h - what the month's page must know of single lines: their days.
 *
 * Every line of every file is handed in once. Memory: 4 bytes a line.
 */
#ifndef WITHY_MONTH_LINES_H
#define WITHY_MONTH_LINES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "month/month.h"

struct buf;
struct diags;
struct line;

struct month_lines {
	struct month_days days;
	struct month_file {
		int32_t *day;      /* of each line, from 1 */
		size_t n, cap;
	} *file;
	size_t nfiles, files_cap;
	int64_t entries;           /* of the book, */
	int64_t entries_here;      /* and of the month */
	int32_t first, last;       /* days of the book's entries */
	int32_t through;           /* of the last one that is not after the month */
	char through_text[16];
};

void month_lines_init(struct month_lines *m, struct month_days days);
void month_lines_release(struct month_lines *m);

/* Takes a line of any kind in. */
void month_lines_take(struct month_lines *m, const struct line *l);

/* That day as YYYY-MM-DD; empty where there is none. */
struct slice month_lines_through(const struct month_lines *m);

/* Whether the line at that place could not be read. */
bool month_lines_is_bad(const struct month_lines *m, uint32_t file, uint64_t line);

/*
 * Adds a line of text for each diagnostic that the reader of the page must see: all errors, the first twelve of them
 * in full; the warnings about lines of the month or of no day; and, from any day up to its end, the
 * warnings about probes that may still be in the wood. Instruments that are overdue are among what is due (attention.h).
 * `name` has what each file is called.
 */
void month_lines_find(const struct month_lines *m, const struct diags *d, const char *const *name, struct buf *out);

#endif
