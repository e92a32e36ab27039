/*
 * line.h - one line of a book as the parser gives it out: its parts, typed.
 *
 * Every slice of it points into the line's own bytes and is valid as long as they are. Code that
 * only asks lines for their fields needs this header and not the parser's.
 */
#ifndef WITHY_LINE_H
#define WITHY_LINE_H

#include <stddef.h>
#include <stdint.h>

#include "book/value.h"
#include "book/vocab.h"
#include "time/stamp.h"

struct place;

enum { LINE_LONGEST = 65536 };

enum line_kind { LINE_BLANK, LINE_REMARK, LINE_EVENT, LINE_BAD };

/* One item of a value. Of a quoted text, `text` still has its quotes (see item_text). */
struct item {
	struct slice label, text;
	struct value v;       /* number types; of others only the mark (absent or exact) */
};

struct field {
	const struct field_use *use;
	struct slice key, text;   /* the whole value as written */
	size_t first, n;          /* its items */
};

struct line {
	struct slice text;        /* without its line end */
	uint64_t number;          /* from 1 */
	uint32_t file;
	enum line_kind kind;
	struct stamp stamp;
	const struct event_def *event;
	struct slice date, time, word, subject; /* time is empty when there is none; word: the event's */
	struct slice remark;      /* from its #, or empty */
	struct field *field;
	size_t nfields;
	struct item *item;
	uint8_t slot[FIELD_MOST]; /* by field id: index in `field` + 1, or 0 */
};

/* The field of that id, or NULL; its first item, or NULL; its first item's text, or empty. */
static inline const struct field *line_field(const struct line *l, int id)
{
	return l->slot[id] ? &l->field[l->slot[id] - 1] : NULL;
}

static inline const struct item *line_item(const struct line *l, int id)
{
	return l->slot[id] ? &l->item[l->field[l->slot[id] - 1].first] : NULL;
}

static inline struct slice line_word(const struct line *l, int id)
{
	return l->slot[id] ? l->item[l->field[l->slot[id] - 1].first].text : (struct slice){ "", 0 };
}

/* The sum of the items of a field, 0 without it: of counts, which are at most 1e9 each, it fits. */
static inline int64_t line_sum(const struct line *l, int id)
{
	const struct field *f = line_field(l, id);
	int64_t sum = 0;

	for (size_t i = 0; f && i < f->n; i++)
		sum += l->item[f->first + i].v.fix;
	return sum;
}

/* The column of a slice of the line, from 1, and a place that covers it. */
static inline uint32_t line_col(const struct line *l, struct slice part)
{
	return (uint32_t)(part.p - l->text.p) + 1;
}

struct place line_place(const struct line *l, struct slice part);

/* A text's words without quotes and escapes, added to `out`. */
void item_text(struct buf *out, struct slice text);

#endif
