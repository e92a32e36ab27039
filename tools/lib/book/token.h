/*
 * token.h - where the tokens of a line end: blanks, words, ids, items and values.
 *
 * Every function looks at the bytes from `p` up to `end`, and returns where the token at p ends;
 * whether it is a good one is for the parser to say.
 */
#ifndef WITHY_TOKEN_H
#define WITHY_TOKEN_H

#include <stdbool.h>
#include <stdint.h>

/* What a byte may be part of: rows of TOKEN_CLASS. */
enum { TOKEN_ID = 1, TOKEN_BLANK = 2, TOKEN_BARE = 4 };

extern const uint8_t TOKEN_CLASS[256];

static inline bool token_is(const char *p, const char *end, int class)
{
	return p < end && TOKEN_CLASS[(unsigned char)*p] & class;
}

static inline bool token_stops(const char *p, const char *end)
{
	return p == end || TOKEN_CLASS[(unsigned char)*p] & TOKEN_BLANK;
}

static inline const char *token_skip_blanks(const char *p, const char *end)
{
	while (token_is(p, end, TOKEN_BLANK))
		p++;
	return p;
}

static inline const char *token_word_end(const char *p, const char *end)
{
	while (!token_stops(p, end))
		p++;
	return p;
}

/* The end of an id at p: id characters, and at most one / between them where `slash`. */
static inline const char *token_id_end(const char *p, const char *end, bool slash)
{
	const char *start = p;

	if (p < end && *p == '-')
		return p;
	while (token_is(p, end, TOKEN_ID))
		p++;
	if (slash && p > start && p < end && *p == '/' && token_is(p + 1, end, TOKEN_ID))
		for (p++; token_is(p, end, TOKEN_ID);)
			p++;
	return p;
}

/* Whether the byte may be in a text without quotes. */
static inline bool token_is_bare(char c)
{
	return TOKEN_CLASS[(unsigned char)c] & (TOKEN_ID | TOKEN_BARE) || (unsigned char)c >= 0x80;
}

/* The end of the item at p: a comma or a blank that no quote holds. */
const char *token_item_end(const char *p, const char *end);

/* The end of the value at p, whatever is in it. */
const char *token_value_end(const char *p, const char *end);

#endif
