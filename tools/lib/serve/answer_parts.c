#include "serve/answer_parts.h"

#include "serve/works.h"

/* ---- addresses */

static int hex(char c)
{
	static const char digits[] = "0123456789abcdef";
	const char *at = c ? strchr(digits, c >= 'A' && c <= 'F' ? c + 32 : c) : NULL;

	return at ? (int)(at - digits) : -1;
}

char *say_path(struct slice uri)
{
	struct buf path = BUF_INIT;
	char *copy;

	if (!slice_starts(uri, SLICE("file://")))
		return mem_copy(uri.p, uri.n);
	uri = slice_from(uri, 7);
	if (slice_starts(uri, SLICE("localhost/")))
		uri = slice_from(uri, 9);
	for (size_t i = 0; i < uri.n; i++) {
		int high = uri.p[i] == '%' && i + 2 < uri.n ? hex(uri.p[i + 1]) : -1;
		int low = high >= 0 ? hex(uri.p[i + 2]) : -1;

		buf_char(&path, low >= 0 && high + low ? (char)(high * 16 + low) : uri.p[i]);
		i += low >= 0 && high + low ? 2 : 0;
	}
	copy = mem_copy(path.p, path.n);
	buf_release(&path);
	return copy;
}

static bool is_plain(unsigned char c)
{
	return (c >= '0' && c <= '9') || ((c | 32) >= 'a' && (c | 32) <= 'z') || strchr("-._~/", c) != NULL;
}

void say_uri(struct buf *out, const char *path)
{
	if (path[0] != '/') {
		buf_json(out, slice_of(path));
		return;
	}
	buf_str(out, "\"file://");
	for (const char *p = path; *p; p++) {
		if (is_plain((unsigned char)*p))
			buf_char(out, *p);
		else
			buf_printf(out, "%%%02X", (unsigned char)*p);
	}
	buf_char(out, '"');
}

void say_file(struct buf *out, const struct works_file *f)
{
	if (f->uri)
		buf_json(out, slice_of(f->uri));
	else
		say_uri(out, f->path);
}

/* ---- places */

void say_lines(struct buf *out, size_t line, size_t unit, size_t end_line, size_t end_unit)
{
	buf_printf(out, "{\"start\":{\"line\":%zu,\"character\":%zu},\"end\":{\"line\":%zu,\"character\":%zu}}",
		line, unit, end_line, end_unit);
}

void say_range(struct buf *out, const struct works_file *f, size_t line, size_t col, size_t end)
{
	if (f)
		say_lines(out, line, document_unit(&f->text, line, col), line, document_unit(&f->text, line, end));
	else
		say_lines(out, line, col, line, end);
}

void say_location(struct buf *out, const struct works_file *f, size_t line, size_t col, size_t end)
{
	buf_str(out, "{\"uri\":");
	say_file(out, f);
	buf_str(out, ",\"range\":");
	say_range(out, f, line, col, end);
	buf_char(out, '}');
}

void say_edit(struct buf *out, const struct works_file *f, size_t line, size_t col, size_t end, struct slice text)
{
	buf_str(out, "{\"range\":");
	say_range(out, f, line, col, end);
	buf_str(out, ",\"newText\":");
	buf_json(out, text);
	buf_char(out, '}');
}

/* ---- findings */

void say_finding(struct buf *out, const struct works_file *f, const struct findings *found, size_t i)
{
	static const int severity[] = { 4, 3, 2, 1 };   /* by LEVEL_... */
	const struct finding *row = &found->row[i];

	buf_str(out, "{\"range\":");
	say_range(out, f, row->line, row->col, row->end);
	buf_printf(out, ",\"severity\":%d,\"code\":", severity[row->level]);
	buf_json(out, row->rule);
	buf_str(out, ",\"source\":\"withy\",\"message\":");
	buf_json(out, slice_of(row->text));
	buf_char(out, '}');
}

void say_findings(struct buf *out, const struct works_file *f, const struct findings *found)
{
	buf_char(out, '[');
	for (size_t i = 0; i < found->n; i++) {
		if (i)
			buf_char(out, ',');
		say_finding(out, f, found, i);
	}
	buf_char(out, ']');
}
