/*
 * parse.h - one line of a book, taken apart and typed.
 *
 *     DATE [TIME] EVENT SUBJECT [FIELD=VALUE ...] [# remark]
 *
 * A `struct parser` belongs to one worker. It keeps one `struct line` that it fills anew for
 * every line: no allocation per line, and everything in it is a slice of the line's own bytes,
 * valid as long as they are. What is wrong goes to the worker's diagnostics, all of it, and the
 * line is then LINE_BAD. It is quick because it guesses: a line of an event mostly has the
 * fields of the event's last line in the same order, and the date of the line before.
 */
#ifndef WITHY_PARSE_H
#define WITHY_PARSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/value.h"
#include "book/vocab.h"
#include "time/stamp.h"

struct diags;
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
uint32_t line_col(const struct line *l, struct slice part);
struct place line_place(const struct line *l, struct slice part);

/* A text's words without quotes and escapes, added to `out`. */
void item_text(struct buf *out, struct slice text);

/* Whether the byte may stand in a text without quotes. */
bool parse_is_bare(char c);

enum { SHAPE_MOST = 12 };

/*
 * How a number of up to eight bytes with its sign and unit is written, such as dd.dC: its bytes xor
 * `expect` are 0 but where a digit stands, and there the digit.
 */
struct shape_number {
	uint64_t expect, mask, add; /* a byte that does not fit sets its high bit when `add` is added */
	uint64_t whole, part;     /* the digits before the point, and those behind it moved up one byte */
	int64_t scale;            /* what the last digit is worth in fix; below 0 for a minus */
	uint8_t n, lift;          /* bytes; bits that bring the last digit to the last byte */
};

/* An id of up to seven bytes and the byte behind it, as a word. */
struct shape_word {
	uint64_t word, mask;
	uint8_t n, after;         /* n is 0: none yet; after: the one that came next when it came last */
};

enum { SHAPE_NUMBERS = 3, SHAPE_WORDS = 8 };

/* One field of a shape: its key with the = as a word to compare, and how its value is read. */
struct shape_field {
	uint64_t key, mask;
	uint8_t key_n, places;
	bool number, slash;       /* slash: an id that may have one */
	char unit;                /* the unit's one letter, or 0 */
	int64_t least, most;
	struct shape_number like[SHAPE_NUMBERS]; /* how numbers were written here; n is 0: none yet */
	struct shape_word word[SHAPE_WORDS]; /* ids that stood here */
	uint8_t word_at;          /* the last line's among them */
	uint8_t oldest;           /* which to forget next, of either */
};

enum { SHAPE_SUBJECTS = 16 };

/* A subject that was read, with the blank behind it, as two words. */
struct shape_subject {
	uint64_t word[2], mask[2];
	size_t n;                 /* 0: none yet */
	bool slash;               /* it has one */
	uint8_t after;            /* the one that came next when it came last */
};

/* What the last good line of an event looked like, for parse_alike(). */
struct shape {
	const struct event_def *event; /* NULL: no line yet that can be guessed at */
	uint64_t word, word_mask;
	uint64_t clock;           /* the last HH:MM and its second of the day */
	int32_t second;
	uint8_t word_n, n;
	bool timed, slash;        /* slash: the subject may have one */
	struct shape_field field[SHAPE_MOST];
};

struct event_cache {
	const struct field_use *use[16];
	uint8_t n, needed;
	bool one_of;
	struct shape shape;
};

/* A field that stands on the line again: where it does so first, and how often it stands there. */
struct again {
	const struct field_use *use;
	struct slice key;
	unsigned times;
};

struct parser {
	const struct vocab *vocab;
	struct diags *diags;
	struct line line;
	size_t item_cap, nitems, field_cap;
	char date[10];            /* the last date read, and its day */
	int32_t day;
	const struct field_use *unitless; /* the field of the line whose missing unit was told */
	struct again again[USE_MOST];
	size_t nagain;
	uint8_t needed;           /* how many fields that must stand it has, */
	bool one_of;              /* and whether one of those of which one must */
	bool bad;                 /* the line in hand is wrong somewhere */
	bool within;              /* line 1 is not the first of its file */
	struct shape *shape;      /* that `line` has, or NULL */
	struct shape_subject subject[SHAPE_SUBJECTS]; /* of the last lines read by parse_alike() */
	uint8_t subject_at;       /* the last line's among them */
	unsigned oldest;          /* the next to be forgotten, of SHAPE_SUBJECTS */
	struct event_cache *cache;      /* by event */
};

void parser_init(struct parser *p, const struct vocab *vocab, struct diags *diags);
void parser_release(struct parser *p);

/* Takes `text` (one line without its LF) apart. Never NULL. */
const struct line *parse_line(struct parser *p, struct slice text, uint64_t number, uint32_t file);

enum { PARSE_PADDING = 16 };

/*
 * The same for a line that looks just like the one before it: the same day, event, fields and
 * units, single blanks, no remark. NULL when it does not, and then nothing has happened. The line
 * starts at `p`; an LF must stand somewhere, and PARSE_PADDING readable bytes behind it. What it
 * returns is what parse_line() would, so it is for speed alone.
 */
const struct line *parse_alike(struct parser *ps, const char *p, uint64_t number);

#endif
