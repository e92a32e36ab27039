/*
 * jot_complete.h - what may follow the words of an entry so far: for completion in shells and in the form.
 */
#ifndef WITHY_JOT_COMPLETE_H
#define WITHY_JOT_COMPLETE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "jot/jot_state.h"

/*
 * Adds whole words that the last of the `n` words, which may be empty, can become: dates and events, subjects, the names of
 * fields with their =, values with what goes before them. `store` keeps the texts of those that were composed.
 */
void jot_complete_entry(const struct jot_state *s, const struct slice *word, size_t n, struct intern *store, struct jot_choices *out);

/* Adds today and yesterday. */
void jot_complete_dates(const struct jot_state *s, struct intern *store, struct jot_choices *out);

/* Adds what the values of the field of that name may be. False for an unknown field. */
bool jot_complete_field(const struct jot_state *s, struct slice name, struct jot_choices *out);

#endif
