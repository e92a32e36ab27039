/*
 * jot_making.h - an entry that is being written out, for one subject, and what the files of this room share.
 */
#ifndef WITHY_JOT_MAKING_H
#define WITHY_JOT_MAKING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/reader.h"
#include "book/token.h"
#include "house/house.h"
#include "jot/jot_entry.h"
#include "jot/jot_values.h"

struct jot_field {
	const struct field_use *use;
	struct buf value;
	bool bare;                 /* its value came without the name */
};

struct jot_making {
	const struct jot_now *now;
	struct jot_entry *entry;
	const struct event_def *event;
	struct slice date, time, subject;
	int32_t day;
	bool bat;                  /* the subject is one */
	struct jot_field field[2 * USE_MOST];
	size_t nfields;
};

/* The field of that id, or NULL; the event's use of it, or NULL where it does not take it. */
struct jot_field *jot_making_field(struct jot_making *m, int field);
const struct field_use *jot_making_use(const struct jot_making *m, int field);

/* Adds a field without a value; NULL where an entry has no room for more. */
struct jot_field *jot_making_add(struct jot_making *m, const struct field_use *use);

/* Adds, for a message, what was typed: in quotation marks, and not all of it where that is long. */
void jot_making_quote(struct buf *out, struct slice typed);

/* Adds a field that was not typed, and reports it with the reason. */
void jot_making_fill(struct jot_making *m, const struct field_use *use, struct slice value, struct slice why);

#endif
