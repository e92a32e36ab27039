/*
 * trace_say.h - what a trace found, in sentences.
 */
#ifndef WITHY_TRACE_SAY_H
#define WITHY_TRACE_SAY_H

struct table;
struct trace_found;

/* Adds the sentences about the subject to the finding of a table. */
void trace_say(const struct trace_found *f, struct table *t);

#endif
