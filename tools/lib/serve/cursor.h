/*
 * cursor.h - what a place in a line of a book is: the date, the event, a field's key, one item of its value. It is
 * found by the line's form alone, so that it is known in a line that is half written.
 */
#ifndef WITHY_CURSOR_H
#define WITHY_CURSOR_H

#include <stdbool.h>
#include <stddef.h>

#include "book/vocab.h"

struct event_def;
struct field_use;
struct vocab;

enum cursor_part {
	CURSOR_DATE, CURSOR_TIME_OR_EVENT, CURSOR_EVENT, CURSOR_SUBJECT, CURSOR_KEY, CURSOR_LABEL, CURSOR_VALUE, CURSOR_REMARK
};

struct cursor {
	enum cursor_part part;
	struct slice word;           /* the whole word; of a value the label or the item's text */
	struct slice typed;          /* its part before the place */
	struct slice date, subject;  /* of the line, or empty */
	const struct event_def *event; /* NULL: unknown or not yet there */
	const struct field_use *use; /* of a key or a value, or NULL */
	struct slice key;
	bool labelled;               /* the item has a label, or may get one here */
};

/* `byte` is at most text.n. A word belongs to the place at its end, too. */
struct cursor cursor_at(const struct vocab *vocab, struct slice text, size_t byte);

/* Whether the line has the field before its comment. */
bool cursor_has_field(struct slice text, struct slice key);

#endif
