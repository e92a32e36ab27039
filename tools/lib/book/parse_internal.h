/*
 * parse_internal.h - what the parts of the parser share; for parse*.c alone.
 *
 * parse.c takes the line apart, parse_value.c its values, parse_stray.c reports words that are not
 * fields, parse_fast.c reads most good lines without them, parse_alike.c those of the shape of earlier ones.
 */
#ifndef WITHY_PARSE_INTERNAL_H
#define WITHY_PARSE_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/diag.h"
#include "book/parse.h"
#include "book/token.h"

/* What the last lines of an event were like. */
struct event_cache {
	const struct field_use *use[16];
	uint8_t n, needed;
	bool one_of;
	bool learnt;              /* parse_fast() knows the event, or cannot know it */
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

/* Keeps the shape of the good line in hand, which parse_alike() has looked at, if others were of the same shape. */
void parse_alike_learn(struct parser *ps);
void parse_alike_init(struct parser *ps);
void parse_alike_release(struct parser *ps);

#endif
