/* document - changes of lines against the same changes of one long text, at random; places in UTF-16 units. */
#include "serve/document.h"

#include <stdlib.h>

#include "check.h"

static uint64_t state = 88172645463325252u;

static size_t below(size_t n)
{
	state ^= state << 13;
	state ^= state >> 7;
	state ^= state << 17;
	return (size_t)(state % n);
}

/* How many lines the protocol sees: one more than ends. */
static size_t lines_of(const struct buf *text)
{
	size_t n = 1;

	for (size_t i = 0; i < text->n; i++)
		n += text->p[i] == '\n' || (text->p[i] == '\r' && (i + 1 == text->n || text->p[i + 1] != '\n'));
	return n;
}

/* Where a spot is in the long text. Its lines are counted here in another way. */
static size_t offset_of(const struct buf *text, size_t line, size_t byte)
{
	size_t at = 0;

	while (line) {
		char c = text->p[at++];

		line -= c == '\n' || (c == '\r' && (at == text->n || text->p[at] != '\n'));
	}
	return at + byte;
}

static void splice(struct buf *text, size_t from, size_t to, struct slice now)
{
	struct buf out = BUF_INIT;

	buf_add(&out, slice_upto(buf_slice(text), from));
	buf_add(&out, now);
	buf_add(&out, slice_from(buf_slice(text), to));
	buf_release(text);
	*text = out;
}

static void one_change(struct document *d, struct buf *text)
{
	static const char *const pieces[] = { "", "x", "\n", "\r", "\r\n", "\n\n", "\xf0\x9f\x8c\xb2", "\xc3\xbc\n", "ab\rcd", "\r\n\r" };
	struct slice now = slice_of(pieces[below(sizeof pieces / sizeof *pieces)]);
	size_t first = below(d->n), last = first + below(d->n - first < 3 ? d->n - first : 3);
	size_t units_first = document_unit(d, first, SIZE_MAX), units_last = document_unit(d, last, SIZE_MAX);
	struct document_spot from = { (int64_t)first, (int64_t)below(units_first + 1) }, to = { (int64_t)last, (int64_t)below(units_last + 1) };
	size_t a, b;

	if (first == last && to.unit < from.unit)
		to.unit = from.unit;
	a = offset_of(text, first, document_byte(d, from));
	b = offset_of(text, last, document_byte(d, to));
	splice(text, a, b < a ? a : b, now);
	document_replace(d, from, to, now);
}

static void holds_text(const struct document *d, const struct buf *text)
{
	struct buf whole = BUF_INIT;

	document_add(&whole, d, 0, d->n);
	CHECK_SLICE(buf_slice(&whole), buf_slice(text));
	CHECK_INT(d->n, lines_of(text));
	buf_release(&whole);
}

static void random_changes(void)
{
	struct document d;
	struct buf text = BUF_INIT;

	document_init(&d);
	buf_str(&text, "one\ntwo \xf0\x9f\x8c\xb2\r\nthree\rfour");
	document_set(&d, buf_slice(&text));
	for (int i = 0; i < 3000; i++) {
		CHECK_CASE(i);
		one_change(&d, &text);
		holds_text(&d, &text);
		if (text.n > 400) {
			text.n = 100;
			while (text.n && (text.p[text.n] & 0xc0) == 0x80)
				text.n--;
			document_set(&d, buf_slice(&text));
		}
	}
	CHECK_CASE(-1);
	document_release(&d);
	buf_release(&text);
}

static void places(void)
{
	struct document d;
	size_t line, byte = 6;

	document_init(&d);
	CHECK_INT(d.n, 1);
	document_set(&d, SLICE("a\xf0\x9f\x8c\xb2z\r\nb\rcd\n"));
	CHECK_INT(d.n, 4);
	CHECK_INT(document_byte(&d, (struct document_spot){ 0, 1 }), 1);
	CHECK_INT(document_byte(&d, (struct document_spot){ 0, 3 }), 5);
	CHECK_INT(document_byte(&d, (struct document_spot){ 0, 99 }), 6);
	CHECK_INT(document_byte(&d, (struct document_spot){ -4, 99 }), 0);
	CHECK_INT(document_unit(&d, 0, 5), 3);
	CHECK_INT(document_unit(&d, 0, 99), 4);
	byte = 3;
	document_book_line(&d, 2, &line, &byte);   /* the d behind the lone CR */
	CHECK_INT(line, 2);
	CHECK_INT(byte, 1);
	document_release(&d);
}

int main(void)
{
	places();
	random_changes();
	return check_end();
}
