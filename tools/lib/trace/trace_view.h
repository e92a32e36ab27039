/*
 * trace_view.h - the tables of wy-trace(1) about one thing: where it is from, what happened to it, where it was, how
 * wet it was read, what it shares with others, and the notes about it.
 */
#ifndef WITHY_TRACE_VIEW_H
#define WITHY_TRACE_VIEW_H

#include <stdbool.h>

struct table;
struct ties;
struct trace;

enum { TRACE_TABLES = 6 };

/*
 * Initializes and fills the tables, in the order above; they belong to the caller. The first has the finding. `brief`, for
 * a page: of long tables the rows that matter most, with a note of how many are left out. See t->readings.error.
 */
void trace_view(struct trace *t, const struct ties *ties, bool brief, struct table *tables);

#endif
