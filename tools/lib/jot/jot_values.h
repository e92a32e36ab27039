/*
 * jot_values.h - what may be written in each place of an entry, and a shortened value in full.
 *
 * House words (places, types, people ...) may be shortened to a beginning that only one of them has. Ids of the book
 * only where a dot says so: `K.` is the charge that begins with K, where there is one that holds pieces. A number
 * without a unit gets the one that its type has, or that the house file gives for such values.
 */
#ifndef WITHY_JOT_VALUES_H
#define WITHY_JOT_VALUES_H

#include <stdbool.h>
#include <stdint.h>

#include "book/vocab.h"
#include "jot/jot_state.h"

/* The events; the fields that the event takes (with `needed` those that it requires), in its order. */
void jot_values_events(const struct vocab *v, struct jot_choices *out);
void jot_values_fields(const struct event_def *event, bool needed, struct jot_choices *out);

/* What the event may be about. Ids and house words are apart: `words` are the house's. */
void jot_values_subjects(const struct jot_state *s, const struct event_def *event, struct jot_choices *ids, struct jot_choices *words);

/* What the items of a field may be on that day, and what may be before the colon of one. */
void jot_values_of(const struct jot_state *s, const struct field_use *use, int32_t day, struct jot_choices *out);
void jot_values_labels(const struct jot_state *s, const struct field_use *use, int32_t day, struct jot_choices *out);

/*
 * Adds what is meant by an id or a word out of `choices`; what is none of them stays as it is, for the checker to
 * judge. False where it may be several: then `error` has the reason, which names them; `what` is what it is in.
 */
bool jot_values_word(const struct jot_choices *choices, struct slice typed, struct slice what, struct buf *out, struct buf *error);

/* The value of a field in full; `bat`: the entry is about a bat. As above. */
bool jot_values_expand(const struct jot_state *s, const struct field_use *use, int32_t day, bool bat, struct slice typed,
	struct buf *out, struct buf *error);

/* One number with its unit, or as it is. */
void jot_values_number(const struct jot_state *s, const struct field_use *use, bool bat, struct slice typed, struct buf *out);

/* A text in quotation marks, where it needs them. */
void jot_values_text(struct slice typed, struct buf *out);

#endif
