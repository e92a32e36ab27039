/*
 * Content lines of a calendar: escapes (RFC 5545, 3.3.11), and folds of 75 octets that cut no character in two (3.1), for
 * texts of every length around the limit and characters of one to four bytes.
 */
#include "due/due_ics.h"
#include "check.h"

static void check_escapes(void)
{
	static const struct {
		const char *text, *line;
	} CASES[] = {
		{ "", "SUMMARY:\r\n" },
		{ "K27-09: read a, b; then c\\d", "SUMMARY:K27-09: read a\\, b\\; then c\\\\d\r\n" },
		{ "two\nlines", "SUMMARY:two\\nlines\r\n" },
		{ "\n", "SUMMARY:\\n\r\n" },
		{ "a \"quote\": as it is", "SUMMARY:a \"quote\": as it is\r\n" },
	};
	struct buf out = BUF_INIT;

	for (size_t i = 0; i < sizeof CASES / sizeof *CASES; i++) {
		CHECK_CASE(i);
		out.n = 0;
		due_ics_text(&out, "SUMMARY", slice_of(CASES[i].text));
		CHECK_TEXT(buf_slice(&out), CASES[i].line);
	}
	CHECK_CASE(-1);
	out.n = 0;
	due_ics_text(&out, "X", SLICE("\033[31m"));
	for (size_t i = 0; i + 2 < out.n; i++)
		CHECK((unsigned char)out.p[i] >= ' ');
	buf_release(&out);
}

/* Takes the folds out; false where one is not sound. */
static bool unfold(struct slice text, struct buf *line)
{
	line->n = 0;
	while (text.n) {
		size_t end = slice_find(text, '\n');

		if (end == text.n || !end || text.p[end - 1] != '\r' || end - 1 > 75)
			return false;
		if (line->n && (text.p[0] != ' ' || ((unsigned char)text.p[1] & 0xc0) == 0x80))
			return false;
		buf_add(line, slice_between(text.p + (line->n ? 1 : 0), text.p + end - 1));
		text = slice_from(text, end + 1);
	}
	return true;
}

static void check_folds(void)
{
	static const char *const CHARACTERS[] = { "x", "\xc5\x8d", "\xe2\x82\xac", "\xf0\x9f\x8c\xb3" };
	struct buf text = BUF_INIT, out = BUF_INIT, line = BUF_INIT;

	for (size_t kind = 0; kind < 4; kind++)
		for (size_t before = 0; before < 4; before++) {
			text.n = 0;
			buf_fill(&text, 'a', before);
			for (size_t n = 0; n < 160; n++) {
				out.n = 0;
				due_ics_text(&out, "S", buf_slice(&text));
				CHECK_CASE(1000 * kind + 200 * before + n);
				CHECK(unfold(buf_slice(&out), &line));
				CHECK(line.n == text.n + 2 && slice_eq(slice_from(buf_slice(&line), 2), buf_slice(&text)));
				buf_str(&text, CHARACTERS[kind]);
			}
		}
	CHECK_CASE(-1);
	buf_release(&text);
	buf_release(&out);
	buf_release(&line);
}

int main(void)
{
	check_escapes();
	check_folds();
	return check_end();
}
