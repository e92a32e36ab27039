/*
 * parse.h - one line of a book, taken apart and typed.
 *
 *     DATE [TIME] EVENT SUBJECT [FIELD=VALUE ...] [# remark]
 *
 * A `struct parser` belongs to one worker. It keeps one `struct line` that it fills again for
 * every line: no allocation per line, and everything in it is a slice of the line's own bytes,
 * valid as long as they are. What is wrong goes to the worker's diagnostics, all of it, and the
 * line is then LINE_BAD. It is quick because it guesses: a line mostly has the shape of an earlier
 * one, and the date of the line before.
 */
#ifndef WITHY_PARSE_H
#define WITHY_PARSE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/line.h"

struct diags;
struct event_cache;
struct marks;
struct parse_alike;
struct parse_fast;

/* A field that the line repeats: where it first repeats it, and how often the line has it. */
struct repeated_field {
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
	const struct field_use *unitless; /* the field of the line whose missing unit was reported */
	struct repeated_field again[USE_MOST];
	size_t nagain;
	uint8_t needed;           /* how many required fields it has, */
	bool one_of;              /* and whether it has one of those of which one is required */
	bool bad;                 /* the line in hand is wrong somewhere */
	bool within;              /* line 1 is not the first of its file */
	struct marks *marks;      /* of the lines from the one in hand on */
	const struct line *(*read_alike)(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file);
	size_t length;            /* of the line that parse_alike() read last: sooner known than by the line, for the next one waits for it */
	struct parse_alike *alike; /* the shapes of lines; NULL before the first good line */
	struct parse_fast *fast;  /* what parse_fast() knows; NULL before the first good line */
	struct event_cache *cache; /* by event */
};

void parser_init(struct parser *p, const struct vocab *vocab, struct diags *diags);
void parser_release(struct parser *p);

/* Takes `text` (one line without its LF) apart. Never NULL. */
const struct line *parse_line(struct parser *p, struct slice text, uint64_t number, uint32_t file);

enum { PARSE_PADDING = 64 };

/*
 * The same, several times as quick, for a line as most are: the event, and the fields of an event, were there
 * before; the time has no seconds, blanks are no tabs, texts have no quotes, and a remark is ASCII. NULL when it
 * is another, or wrong. The line starts at `p` and must end before `end`, with PARSE_PADDING readable bytes after
 * it. The bytes up to `end` may not change before parse_forget() is called.
 */
const struct line *parse_fast(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file);
void parse_forget(struct parser *ps);

/*
 * The same, several times as quick again, for a line of the shape of earlier ones: of the same event and fields, with
 * every sign and every unit at the same place. What it returns is a copy. NULL when there was no such line; the next one
 * is then compared with this, if it is read in one of the other ways right after.
 */
static inline const struct line *parse_alike(struct parser *ps, const char *p, const char *end, uint64_t number, uint32_t file)
{
	return ps->read_alike(ps, p, end, number, file);
}

#endif
