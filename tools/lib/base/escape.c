#include "base/escape.h"

/* How many bytes of `s` come before the first that is one of `stops`. */
static size_t run_without(struct slice s, const char *stops)
{
	size_t n = 0;

	while (n < s.n && !(s.p[n] && strchr(stops, s.p[n])))
		n++;
	return n;
}

void buf_tsv(struct buf *b, struct slice s)
{
	while (s.n) {
		size_t n = slice_find(s, '\\');

		utf8_add_visible(b, slice_upto(s, n));
		if (n < s.n) {
			buf_str(b, "\\\\");
			n++;
		}
		s = slice_from(s, n);
	}
}

static bool is_formula(struct slice s)
{
	uint32_t point;

	if (!utf8_decode(s, &point))
		return false;
	switch (point) {
	case '=': case '+': case '-': case '@': case '\t': case '\r': case '\n':
	case 0xff1d: case 0xff0b: case 0xff0d: case 0xff20:
		return true;
	default:
		return false;
	}
}

void buf_csv(struct buf *b, struct slice s)
{
	bool quoted = run_without(s, ",\"\r\n") < s.n;

	if (quoted)
		buf_char(b, '"');
	if (is_formula(s))
		buf_char(b, '\'');
	while (s.n) {
		size_t n = run_without(s, "\"\r\n");

		utf8_add_visible(b, slice_upto(s, n));
		if (n < s.n && s.p[n] == '"')
			buf_char(b, '"');
		if (n < s.n)
			buf_char(b, s.p[n++]);
		s = slice_from(s, n);
	}
	if (quoted)
		buf_char(b, '"');
}

static void json_point(struct buf *b, uint32_t point)
{
	static const char letters[] = "\b\f\n\r\t\"\\", escapes[] = "bfnrt\"\\";
	const char *at = point && point < 0x80 ? strchr(letters, (int)point) : NULL;

	if (at)
		buf_printf(b, "\\%c", escapes[at - letters]);
	else if (utf8_is_unsafe(point))
		buf_printf(b, "\\u%04x", (unsigned)point);
	else
		utf8_add(b, point);
}

static size_t json_run(struct slice s)
{
	size_t n = 0;

	while (n < s.n && s.p[n] >= 0x20 && s.p[n] < 0x7f && s.p[n] != '"' && s.p[n] != '\\')
		n++;
	return n;
}

void buf_json(struct buf *b, struct slice s)
{
	buf_char(b, '"');
	while (s.n) {
		uint32_t point;
		size_t n = json_run(s);

		if (n) {
			buf_add(b, slice_upto(s, n));
		} else if ((n = utf8_decode(s, &point))) {
			json_point(b, point);
		} else {
			n = 1;
			utf8_add(b, 0xfffd);
		}
		s = slice_from(s, n);
	}
	buf_char(b, '"');
}

static const char *html_entity(char c)
{
	switch (c) {
	case '&': return "&amp;";
	case '<': return "&lt;";
	case '>': return "&gt;";
	case '"': return "&quot;";
	default: return "&#39;";
	}
}

void buf_html(struct buf *b, struct slice s)
{
	while (s.n) {
		size_t n = run_without(s, "&<>\"'");

		utf8_add_visible(b, slice_upto(s, n));
		if (n < s.n)
			buf_str(b, html_entity(s.p[n++]));
		s = slice_from(s, n);
	}
}

/* A backslash makes markup plain; before a letter it is plain itself (as in what is made visible). */
static void add_md(struct buf *b, struct slice s, const char *markup)
{
	while (s.n) {
		size_t n = run_without(s, markup);

		utf8_add_visible(b, slice_upto(s, n));
		if (n < s.n && (s.p[n] == '&' || s.p[n] == '<')) {
			buf_str(b, html_entity(s.p[n++]));
		} else if (n < s.n) {
			buf_char(b, '\\');
			buf_char(b, s.p[n++]);
		}
		s = slice_from(s, n);
	}
}

void buf_md(struct buf *b, struct slice s)
{
	add_md(b, s, "&<\\`*_[]|~$");
}

void buf_md_name(struct buf *b, struct slice s)
{
	add_md(b, s, "&<\\`*[]|~$");
}
