#include "serve/document.h"

#include <stdlib.h>

#include "base/utf8.h"

void document_init(struct document *d)
{
	memset(d, 0, sizeof *d);
	document_set(d, SLICE(""));
}

static void drop_lines(struct document *d, size_t from, size_t to)
{
	for (size_t i = from; i < to; i++) {
		const struct document_line *l = &d->line[i];

		d->returns -= l->n && l->p[l->n - 1] == '\r';
		if (l->owned)
			free(l->p);
	}
}

void document_release(struct document *d)
{
	drop_lines(d, 0, d->n);
	free(d->line);
	free(d->block);
	memset(d, 0, sizeof *d);
}

/* Where the line at the start of `s` ends, its end included. */
static size_t line_length(struct slice s)
{
	const char *lf = memchr(s.p, '\n', s.n), *cr;
	size_t n = lf ? (size_t)(lf - s.p) + 1 : s.n;

	cr = memchr(s.p, '\r', n);
	if (!cr || (lf && cr + 1 == lf))
		return n;
	return (size_t)(cr - s.p) + 1;
}

static size_t count_lines(struct slice s)
{
	size_t n = 1;

	while (s.n) {
		size_t length = line_length(s);
		bool ended = s.p[length - 1] == '\n' || s.p[length - 1] == '\r';

		n += ended;
		s = slice_from(s, length);
	}
	return n;
}

/* Cuts `n` lines of `text` from line `at` on. The last one is what no end follows. */
static void cut_lines(struct document *d, size_t at, size_t n, char *text, size_t length)
{
	for (size_t i = at; i < at + n; i++) {
		size_t one = length ? line_length((struct slice){ text, length }) : 0;

		d->line[i] = (struct document_line){ text, (uint32_t)one, false };
		d->returns += one && text[one - 1] == '\r';
		text += one;
		length -= one;
	}
}

void document_set(struct document *d, struct slice text)
{
	char *block = mem_copy(text.p, text.n);
	size_t n = count_lines((struct slice){ block, text.n });

	drop_lines(d, 0, d->n);
	free(d->block);
	d->block = block;
	d->line = mem_grow(d->line, &d->cap, n, sizeof *d->line);
	d->n = n;
	d->returns = 0;
	cut_lines(d, 0, n, block, text.n);
}

struct slice document_whole(const struct document *d, size_t line)
{
	return line < d->n && d->line[line].n ? (struct slice){ d->line[line].p, d->line[line].n } : SLICE("");
}

struct slice document_text(const struct document *d, size_t line)
{
	struct slice s = document_whole(d, line);

	if (s.n && s.p[s.n - 1] == '\n')
		s.n--;
	if (s.n && s.p[s.n - 1] == '\r')
		s.n--;
	return s;
}

/* A spot that is in the text. */
static struct document_spot inside(const struct document *d, struct document_spot spot)
{
	if (spot.line < 0)
		return (struct document_spot){ 0, 0 };
	if ((uint64_t)spot.line >= d->n)
		return (struct document_spot){ (int64_t)d->n - 1, INT64_MAX };
	return (struct document_spot){ spot.line, spot.unit < 0 ? 0 : spot.unit };
}

size_t document_byte(const struct document *d, struct document_spot spot)
{
	spot = inside(d, spot);
	return utf8_byte_at_unit(document_text(d, (size_t)spot.line), (size_t)spot.unit);
}

size_t document_unit(const struct document *d, size_t line, size_t byte)
{
	struct slice text = document_text(d, line);

	return utf8_units_before(text, byte < text.n ? byte : text.n);
}

static bool is_before(struct document_spot a, struct document_spot b)
{
	return a.line != b.line ? a.line < b.line : a.unit < b.unit;
}

struct document_change document_touched(const struct document *d, struct document_spot from, struct document_spot to)
{
	from = inside(d, from);
	to = inside(d, to);
	if (is_before(to, from))
		to = from;
	return (struct document_change){ (size_t)from.line, (size_t)(to.line - from.line) + 1, 0 };
}

/* Lines of their own for the text that is now there: none is part of the block, so that none moves. */
static void own_lines(struct document *d, size_t at, size_t n, struct slice text)
{
	for (size_t i = at; i < at + n; i++) {
		size_t one = text.n ? line_length(text) : 0;

		d->line[i] = (struct document_line){ mem_copy(text.p, one), (uint32_t)one, true };
		d->returns += one && text.p[one - 1] == '\r';
		text = slice_from(text, one);
	}
}

/* What the touched lines become. Two lines that met may be one line's end: a CR before, an LF after. */
static void new_text(struct buf *out, const struct document *d, struct document_spot from, struct document_spot to,
	struct slice text)
{
	from = inside(d, from);
	to = inside(d, to);
	if (is_before(to, from))
		to = from;
	buf_add(out, slice_upto(document_whole(d, (size_t)from.line), document_byte(d, from)));
	buf_add(out, text);
	buf_add(out, slice_from(document_whole(d, (size_t)to.line), document_byte(d, to)));
}

/* A line before that ends with a CR alone, and text that starts with an LF: both are one line's end. */
static void widen(const struct document *d, struct document_change *c, struct buf *text)
{
	struct slice before = c->first ? document_whole(d, c->first - 1) : SLICE("");
	struct buf joined = BUF_INIT;

	if (!before.n || before.p[before.n - 1] != '\r' || !text->n || text->p[0] != '\n')
		return;
	buf_add(&joined, before);
	buf_add(&joined, buf_slice(text));
	buf_release(text);
	*text = joined;
	c->first--;
	c->old++;
}

struct document_change document_replace(struct document *d, struct document_spot from, struct document_spot to,
	struct slice text)
{
	struct document_change c = document_touched(d, from, to);
	struct buf now = BUF_INIT;
	size_t tail, last;

	new_text(&now, d, from, to, text);
	widen(d, &c, &now);
	last = c.first + c.old;
	c.now = count_lines(buf_slice(&now)) - (last < d->n);   /* all of its lines end but the text's last */
	tail = d->n - last;
	drop_lines(d, c.first, last);
	d->line = mem_grow(d->line, &d->cap, c.first + c.now + tail, sizeof *d->line);
	memmove(d->line + c.first + c.now, d->line + last, tail * sizeof *d->line);
	d->n = c.first + c.now + tail;
	own_lines(d, c.first, c.now, buf_slice(&now));
	buf_release(&now);
	return c;
}

void document_book_line(const struct document *d, uint64_t number, size_t *line, size_t *byte)
{
	size_t at = 0;

	if (!d->returns) {
		*line = (size_t)number - 1;
		return;
	}
	for (uint64_t left = number - 1; left && at + 1 < d->n; at++) {
		struct slice s = document_whole(d, at);

		left -= s.n && s.p[s.n - 1] == '\n';
	}
	while (at + 1 < d->n && *byte >= d->line[at].n && d->line[at].p[d->line[at].n - 1] == '\r') {
		*byte -= d->line[at].n;
		at++;
	}
	*line = at;
}

void document_add(struct buf *out, const struct document *d, size_t from, size_t to)
{
	for (size_t i = from; i < to && i < d->n; i++)
		buf_add(out, document_whole(d, i));
}
