/*
 * trace_view_internal.h - private to trace_view.c and trace_say.c.
 */
#ifndef WITHY_TRACE_VIEW_INTERNAL_H
#define WITHY_TRACE_VIEW_INTERNAL_H

#include "trace/read_wood.h"
#include "trace/sources.h"
#include "trace/ties.h"
#include "trace/trace.h"
#include "trace/way.h"

struct table;

/* What was found of the subject. */
struct trace_found {
	struct trace *trace;
	const struct ties *ties;
	struct sources sources;
	struct way way;
	struct read_wood read;
	bool brief;
};

/* Adds the sentences about the subject to the finding of a table. */
void trace_say(const struct trace_found *f, struct table *t);

#endif
