/*
 * jot_slots.h - values without a name: which fields they are for.
 *
 * An event's required fields take them in the order of the vocabulary. Some events have a list of their own:
 * the air's temperature and humidity, a probe's readings, a judgement, an order, the sizes of a bat. A value goes to the
 * first of these that has none yet and can take it: a number is not a place, 51% is not a temperature. A field that has
 * a list of the house or of ids comes after the others if its list lacks the word: a lot is not a kiln, whichever is
 * typed first. More numbers go on the list that is the last. An item whose label is a cause of culling goes to cull=.
 */
#ifndef WITHY_JOT_SLOTS_H
#define WITHY_JOT_SLOTS_H

#include <stdbool.h>
#include <stddef.h>

struct event_def;
struct jot_choices;
struct jot_making;
struct slice;

/* The fields that take values without a name, in their order. */
void jot_slots_fields(const struct event_def *event, struct jot_choices *out);

/* Gives each word to its field. False, and the entry's error, where one has none. */
bool jot_slots_fill(struct jot_making *m, const struct slice *word, size_t n);

#endif
