/*
 * jot_fill.h - what an entry gets without being typed, each reported with its reason.
 *
 *	by           the person
 *	others       the person's defaults (jot_defaults.h)
 *	wood, meter  of a reading: those of the person's latest line of the day with the same event, about the same
 *	             subject or at the same place; another place may be warmer, so it counts for nothing
 *	at           where it is required: the one place where such pieces of the lot are. Not in a tally, which is
 *	             there to find out
 *
 * What was typed is never changed.
 */
#ifndef WITHY_JOT_FILL_H
#define WITHY_JOT_FILL_H

#include <stdbool.h>

struct jot_making;

/* The fields so far are in full. False, and the entry's error, where a default may be two things. */
bool jot_fill(struct jot_making *m);

#endif
