#include "serve/frames.h"

void frames_release(struct frames *t)
{
	buf_release(&t->bytes);
}

static void compact(struct frames *t)
{
	if (!t->at)
		return;
	memmove(t->bytes.p, t->bytes.p + t->at, t->bytes.n - t->at);
	t->bytes.n -= t->at;
	t->at = 0;
}

void frames_add(struct frames *t, struct slice bytes)
{
	size_t skipped = t->skip < bytes.n ? (size_t)t->skip : bytes.n;

	t->skip -= skipped;
	compact(t);
	buf_add(&t->bytes, slice_from(bytes, skipped));
}

/* Where the header ends: behind its blank line. 0 when it is not there yet. */
static size_t header_end(struct slice s)
{
	for (size_t i = 0; i < s.n; i++) {
		if (s.p[i] != '\n')
			continue;
		if (i + 1 < s.n && s.p[i + 1] == '\n')
			return i + 2;
		if (i + 2 < s.n && s.p[i + 1] == '\r' && s.p[i + 2] == '\n')
			return i + 3;
	}
	return 0;
}

static bool is_name(struct slice s)
{
	static const char name[] = "content-length:";

	if (s.n < sizeof name - 1)
		return false;
	for (size_t i = 0; i < sizeof name - 1; i++)
		if ((s.p[i] >= 'A' && s.p[i] <= 'Z' ? s.p[i] + 32 : s.p[i]) != name[i])
			return false;
	return true;
}

/* The number of a header line; false where it is not one. */
static bool read_length(struct slice s, uint64_t *length)
{
	s = slice_trim(s);
	*length = 0;
	for (size_t i = 0; i < s.n; i++) {
		if (s.p[i] < '0' || s.p[i] > '9')
			return false;
		*length = *length > UINT64_MAX / 16 ? *length : *length * 10 + (uint64_t)(s.p[i] - '0');
	}
	return s.n > 0;
}

static bool find_length(struct slice header, uint64_t *length)
{
	while (header.n) {
		size_t end = slice_find(header, '\n');
		struct slice line = slice_upto(header, end);

		if (line.n && line.p[line.n - 1] == '\r')
			line.n--;
		if (is_name(line))
			return read_length(slice_from(line, 15), length);
		header = slice_from(header, end < header.n ? end + 1 : end);
	}
	return false;
}

/* No header is that long: what is there is thrown away up to where one may start. */
static enum frame_kind drop_header(struct frames *t, struct slice rest)
{
	if (rest.n < FRAME_HEADER_LONGEST)
		return FRAME_NONE;
	t->at = t->bytes.n;
	return FRAME_BROKEN;
}

enum frame_kind frames_next(struct frames *t, struct slice *text)
{
	struct slice rest = slice_from(buf_slice(&t->bytes), t->at);
	size_t header = header_end(slice_upto(rest, rest.n < FRAME_HEADER_LONGEST ? rest.n : FRAME_HEADER_LONGEST));
	uint64_t length;

	if (!header)
		return drop_header(t, rest);
	if (!find_length(slice_upto(rest, header), &length)) {
		t->at += header;
		return FRAME_BROKEN;
	}
	rest = slice_from(rest, header);
	if (length > FRAME_LONGEST) {
		t->skip = length > rest.n ? length - rest.n : 0;
		t->at += header + (rest.n < length ? rest.n : (size_t)length);
		return FRAME_LONG;
	}
	if (rest.n < length)
		return FRAME_NONE;
	*text = slice_upto(rest, (size_t)length);
	t->at += header + (size_t)length;
	return FRAME_GOOD;
}

void frames_write(struct buf *out, struct slice text)
{
	buf_printf(out, "Content-Length: %zu\r\n\r\n", text.n);
	buf_add(out, text);
}
