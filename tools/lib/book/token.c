#include "book/token.h"

/* What is in an id can also be in a text without quotes. */
enum { BOTH = TOKEN_ID | TOKEN_BARE };

const uint8_t TOKEN_CLASS[256] = {
	['0'] = BOTH, ['1'] = BOTH, ['2'] = BOTH, ['3'] = BOTH, ['4'] = BOTH, ['5'] = BOTH, ['6'] = BOTH, ['7'] = BOTH, ['8'] = BOTH, ['9'] = BOTH,
	['A'] = BOTH, ['B'] = BOTH, ['C'] = BOTH, ['D'] = BOTH, ['E'] = BOTH, ['F'] = BOTH, ['G'] = BOTH, ['H'] = BOTH, ['I'] = BOTH, ['J'] = BOTH,
	['K'] = BOTH, ['L'] = BOTH, ['M'] = BOTH, ['N'] = BOTH, ['O'] = BOTH, ['P'] = BOTH, ['Q'] = BOTH, ['R'] = BOTH, ['S'] = BOTH, ['T'] = BOTH,
	['U'] = BOTH, ['V'] = BOTH, ['W'] = BOTH, ['X'] = BOTH, ['Y'] = BOTH, ['Z'] = BOTH, ['a'] = BOTH, ['b'] = BOTH, ['c'] = BOTH, ['d'] = BOTH,
	['e'] = BOTH, ['f'] = BOTH, ['g'] = BOTH, ['h'] = BOTH, ['i'] = BOTH, ['j'] = BOTH, ['k'] = BOTH, ['l'] = BOTH, ['m'] = BOTH, ['n'] = BOTH,
	['o'] = BOTH, ['p'] = BOTH, ['q'] = BOTH, ['r'] = BOTH, ['s'] = BOTH, ['t'] = BOTH, ['u'] = BOTH, ['v'] = BOTH, ['w'] = BOTH, ['x'] = BOTH,
	['y'] = BOTH, ['z'] = BOTH, ['-'] = BOTH, ['_'] = BOTH,
	[' '] = TOKEN_BLANK, ['\t'] = TOKEN_BLANK,
	['.'] = TOKEN_BARE, ['/'] = TOKEN_BARE, [':'] = TOKEN_BARE, ['+'] = TOKEN_BARE, ['%'] = TOKEN_BARE, ['@'] = TOKEN_BARE,
};

const char *token_item_end(const char *p, const char *end)
{
	bool quoted = false;

	for (; p < end; p++) {
		if (quoted && *p == '\\' && p + 1 < end)
			p++;
		else if (*p == '"')
			quoted = !quoted;
		else if (!quoted && (*p == ',' || TOKEN_CLASS[(unsigned char)*p] & TOKEN_BLANK))
			break;
	}
	return p;
}

const char *token_value_end(const char *p, const char *end)
{
	while ((p = token_item_end(p, end)) < end && *p == ',')
		p++;
	return p;
}
