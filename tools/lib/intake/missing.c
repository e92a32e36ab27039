#include "intake/missing.h"

#include <strings.h>

#include "base/utf8.h"

/* ASCII marks, Unicode's dashes U+2010 to U+2015, the minus, and the plain horizontal box-drawing lines. */
static bool is_mark(uint32_t point)
{
	switch (point) {
	case '-': case '.': case '_': case '*': case '#':
	case 0x2010: case 0x2011: case 0x2012: case 0x2013: case 0x2014: case 0x2015:
	case 0x2212:
	case 0x2500: case 0x2501:
		return true;
	default:
		return false;
	}
}

static bool is_word(struct slice s)
{
	static const char *const words[] = { "na", "n/a", "#n/a", "nan", "null", "none", "nil", NULL };

	for (size_t i = 0; words[i]; i++)
		if (slice_of(words[i]).n == s.n && strncasecmp(words[i], s.p, s.n) == 0)
			return true;
	return false;
}

bool missing_is(struct slice cell)
{
	struct slice left = cell;
	uint32_t point;
	size_t n;

	while (left.n && (n = utf8_decode(left, &point)) && is_mark(point))
		left = slice_from(left, n);
	return !left.n || is_word(cell);
}
