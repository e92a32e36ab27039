/*
 * parse_internal.h - what the parts of the parser share; for parse*.c alone.
 *
 * parse.c takes the line apart, parse_value.c its values, parse_fast.c reads at a glance a line
 * that looks like one before it.
 */
#ifndef WITHY_PARSE_INTERNAL_H
#define WITHY_PARSE_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/diag.h"
#include "book/parse.h"

/* What a byte may be part of: rows of PARSE_CLASS. */
enum { C_ID = 1, C_BLANK = 2, C_BARE = 4 };

extern const uint8_t PARSE_CLASS[256];

enum { SLASHED = SUBJECT_PIECE | SUBJECT_PLACE | SUBJECT_KILN | SUBJECT_METER };

static inline bool is_class(const char *p, const char *end, int class)
{
	return p < end && PARSE_CLASS[(unsigned char)*p] & class;
}

static inline bool at_stop(const char *p, const char *end)
{
	return p == end || PARSE_CLASS[(unsigned char)*p] & C_BLANK;
}

static inline const char *skip_blanks(const char *p, const char *end)
{
	while (is_class(p, end, C_BLANK))
		p++;
	return p;
}

static inline const char *word_end(const char *p, const char *end)
{
	while (!at_stop(p, end))
		p++;
	return p;
}

static inline struct slice between(const char *p, const char *end)
{
	return (struct slice){ p, (size_t)(end - p) };
}

#define WRONG(ps, rule, part, ...) \
	((ps)->bad = true, DIAG((ps)->diags, rule, line_place(&(ps)->line, part), __VA_ARGS__))
#define WRONG0(ps, rule, part) \
	((ps)->bad = true, DIAG0((ps)->diags, rule, line_place(&(ps)->line, part)))

/* Whether an id of that type may have a slash; where the id at p ends. */
bool type_has_slash(int type);
const char *scan_id(const char *p, const char *end, bool slash);

/* The end of the value at p, whatever is in it. */
const char *value_end(const char *p, const char *end);

/* An item of the line in hand, to be filled. */
struct item *next_item(struct parser *ps);

/*
 * Reads the value at p into the field's items and says what is wrong with it; returns its end.
 * scan_plain() only does when it is one plain item, as most are, and else returns NULL.
 */
const char *scan_plain(struct parser *ps, struct field *f, const char *p, const char *end);
const char *scan_items(struct parser *ps, struct field *f, const char *p, const char *end);

/* Keeps what a good line looks like, if another like it can be read at a glance. */
void parse_learn(struct parser *ps);

#endif
