/*
 * parse_internal.h - what the parts of the parser share; for parse*.c alone.
 *
 * parse.c takes the line apart, parse_value.c its values, parse_stray.c reports words that are not
 * fields, parse_fast.c reads most good lines without them, parse_alike.c those that look like the line before.
 */
#ifndef WITHY_PARSE_INTERNAL_H
#define WITHY_PARSE_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/diag.h"
#include "book/parse.h"
#include "book/token.h"

enum { SHAPE_MOST = 12 };

/*
 * How a number of up to eight bytes with its sign and unit is written, such as dd.dC. A byte xor
 * `expect` is the digit where the number has a digit, and 0 elsewhere.
 */
struct shape_number {
	uint64_t expect, mask, add; /* a byte that does not fit sets its high bit when `add` is added */
	uint64_t whole, part;     /* the digits before the point, and those after it moved up one byte */
	int64_t scale;            /* what the last digit is worth in fix; below 0 for a minus */
	uint8_t n, lift;          /* bytes; bits that bring the last digit to the last byte */
};

/* An id of up to seven bytes and the byte after it, as a word. */
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
	struct shape_word word[SHAPE_WORDS]; /* ids that were here */
	uint8_t word_at;          /* the last line's among them */
	uint8_t oldest;           /* which to forget next, of either */
};

/* What the last good line of an event looked like, for parse_alike(). */
struct line_shape {
	const struct event_def *event; /* NULL: no line yet that can be guessed at */
	uint64_t word, word_mask; /* the event with the blanks behind it */
	uint64_t gap_mask;        /* of the blanks before it, but for one */
	uint64_t clock;           /* the last HH:MM and its second of the day */
	int32_t second;
	uint8_t gap, word_n, n;
	bool timed, slash;        /* slash: the subject may have one */
	struct shape_field field[SHAPE_MOST];
};

/* What the last lines of an event were like. */
struct event_cache {
	const struct field_use *use[16];
	uint8_t n, needed;
	bool one_of;
	bool learnt;              /* parse_fast() knows the event, or cannot know it */
	struct line_shape shape;
};

#define PARSE_WRONG(ps, rule, part, ...) \
	((ps)->bad = true, DIAG((ps)->diags, rule, line_place(&(ps)->line, part), __VA_ARGS__))
#define PARSE_WRONG0(ps, rule, part) \
	((ps)->bad = true, DIAG0((ps)->diags, rule, line_place(&(ps)->line, part)))

/* The exact correction of what was reported last, of that rule: `part` of the line is replaced by `text`. */
static inline void parse_fix(struct parser *ps, int rule, struct slice part, struct slice text)
{
	struct place place = line_place(&ps->line, part);

	diag_fix(ps->diags, rule, place.col, place.end, text);
}

/* Adds the text in quotation marks: those that it has inside are written as the format needs them. */
void parse_add_quoted(struct buf *out, struct slice words);

/* An item of the line in hand, to be filled. */
struct item *parse_next_item(struct parser *ps);

/*
 * Reads the value at p into the field's items and reports its mistakes; returns its end.
 * parse_plain_item() only does when it is one plain item, as most are, and else returns NULL.
 */
const char *parse_plain_item(struct parser *ps, struct field *f, const char *p, const char *end);
const char *parse_items(struct parser *ps, struct field *f, const char *p, const char *end);

/* Whether a field starts at p: a name with its =. */
bool parse_is_key(const char *p, const char *end);

/*
 * Reports the words from p up to the next field, which are not fields, as one mistake; returns their end.
 * parse_goes_on(): whether such words follow the blanks at p. parse_spaced(): reports a value that follows
 * its `=` after a space, as in `with= wax`; false, and nothing reported, where no such words follow.
 */
const char *parse_stray(struct parser *ps, const char *p, const char *end);
bool parse_goes_on(const char *p, const char *end);
bool parse_spaced(struct parser *ps, const struct field *f, const char *value, const char *end, const char **stop);

/* Makes the event of the line in hand known to parse_fast(), if it can be. */
void parse_fast_learn(struct parser *ps);
void parse_fast_release(struct parser *ps);

/* Keeps what the good line in hand looks like, if another like it can be compared with it. */
void parse_alike_learn(struct parser *ps);

/* After so many lines of an event in turn the next one is compared with the last: on fewer, learning does not pay. */
enum { ALIKE_RUN = 6 };

/* Counts the good line in hand. */
static inline void parse_alike_count(struct parser *ps)
{
	if (ps->line.event != ps->run_of)
		ps->run = 0;
	ps->run_of = ps->line.event;
	if (++ps->run == ALIKE_RUN)
		parse_alike_learn(ps);
}

/* The line in hand is about to be another than the shape says. */
static inline void parse_alike_forget(struct parser *ps)
{
	if (ps->shape)
		ps->run = 0;
	ps->shape = NULL;
}

#endif
