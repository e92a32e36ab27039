/*
 * jot_entry.h - an entry as it is typed in a hurry, written out.
 *
 *	[DATE] [TIME] EVENT SUBJECT[,SUBJECT...] [FIELD=VALUE | VALUE ...] [# comment]
 *
 * A whole line of a book is such an entry as well, and means the same.
 *
 * - Date and time are those of now where they are missing; without a date, a time is today's.
 * - Names of events and fields may be shortened to a beginning that only one has; values as jot_values.h says.
 * - Several subjects give a line each; B0204..B0207 are four. A lone + is the id after the latest of its kind.
 * - A value without a name goes to the first required field of the event that can take it and has none yet
 *   (jot_slots.h). Readings of a subject with probes in it go to the probes in the order of their labels.
 * - What a person always writes is filled in (jot_fill.h).
 *
 * Nothing is guessed: what may be two things is an error that names both, and what was filled in is reported.
 */
#ifndef WITHY_JOT_ENTRY_H
#define WITHY_JOT_ENTRY_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct jot_defaults;
struct jot_state;

/* Who writes, and when. */
struct jot_now {
	const struct jot_state *state;
	const struct jot_defaults *defaults; /* or NULL */
	struct slice person;       /* or empty */
	struct slice known;        /* how the person is known, for reports: "--by" */
	struct slice date;
	struct slice time;         /* empty where none is filled in */
};

struct jot_entry {
	struct buf lines;          /* each with its LF, not yet in canonical form */
	struct buf filled;         /* "by=mk (--by), at=bench (all of L061 is there)" */
	struct buf error;          /* one sentence without its full stop */
};

void jot_entry_init(struct jot_entry *e);
void jot_entry_release(struct jot_entry *e);

/* Adds the lines of one entry. False where it cannot: then `error` says why. */
bool jot_entry_add(struct jot_entry *e, const struct jot_now *now, const struct slice *word, size_t n);

/* The same for a line of text, whose words have blanks between them; a blank one adds nothing, a comment itself. */
bool jot_entry_line(struct jot_entry *e, const struct jot_now *now, struct slice line);

#endif
