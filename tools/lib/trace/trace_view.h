/*
 * trace_view.h - the tables of wy-trace(1) about one thing: where it is from, its way, its places, how wet it
 * was read, what it shares with others, and the notes.
 *
 * Each function initializes its table, which then belongs to the caller.
 */
#ifndef WITHY_TRACE_VIEW_H
#define WITHY_TRACE_VIEW_H

#include <stdbool.h>

struct read_wood;
struct table;
struct ties;
struct trace;
struct way;

/* What was found of the subject. `brief`: for a page, the rows that matter most, with a note of how many are left out. */
struct trace_found {
	struct trace *trace;
	const struct ties *ties;
	const struct way *way;
	const struct read_wood *read;
	bool brief;
};

/* A row for each tree or lot that came in; the finding of the whole answer is above it. */
void trace_view_origin(const struct trace_found *f, struct table *t);
void trace_view_way(const struct trace_found *f, struct table *t);
void trace_view_places(const struct trace_found *f, struct table *t);
void trace_view_moisture(const struct trace_found *f, struct table *t);
void trace_view_ties(const struct trace_found *f, struct table *t);
void trace_view_notes(const struct trace_found *f, struct table *t);

#endif
