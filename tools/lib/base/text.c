#include "base/text.h"

#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>

struct slice slice_of(const char *cstr)
{
	return cstr ? (struct slice){ cstr, strlen(cstr) } : (struct slice){ "", 0 };
}

int slice_cmp(struct slice a, struct slice b)
{
	size_t n = a.n < b.n ? a.n : b.n;
	int order = n ? memcmp(a.p, b.p, n) : 0;

	if (order)
		return order;
	return (a.n > b.n) - (a.n < b.n);
}

bool slice_starts(struct slice s, struct slice head)
{
	return s.n >= head.n && (head.n == 0 || memcmp(s.p, head.p, head.n) == 0);
}

size_t slice_find(struct slice s, char c)
{
	const char *at = s.n ? memchr(s.p, c, s.n) : NULL;

	return at ? (size_t)(at - s.p) : s.n;
}

struct slice slice_from(struct slice s, size_t n)
{
	return (struct slice){ s.p + n, s.n - n };
}

struct slice slice_upto(struct slice s, size_t n)
{
	return (struct slice){ s.p, n };
}

static bool is_blank(char c)
{
	return c == ' ' || c == '\t';
}

struct slice slice_trim(struct slice s)
{
	while (s.n && is_blank(s.p[0]))
		s = slice_from(s, 1);
	while (s.n && is_blank(s.p[s.n - 1]))
		s.n--;
	return s;
}

/* FNV-1a over eight bytes at a time, with a final mix so that low bits are usable. */
uint64_t slice_hash(struct slice s)
{
	uint64_t h = 0xcbf29ce484222325u ^ s.n;
	uint64_t word;

	while (s.n >= 8) {
		memcpy(&word, s.p, 8);
		h = (h ^ word) * 0x9e3779b97f4a7c15u;
		h ^= h >> 29;
		s = slice_from(s, 8);
	}
	word = 0;
	for (size_t i = 0; i < s.n; i++)
		word |= (uint64_t)(unsigned char)s.p[i] << (8 * i);
	h = (h ^ word) * 0xff51afd7ed558ccdu;
	h ^= h >> 32;
	h *= 0xc4ceb9fe1a85ec53u;
	return h ^ h >> 29;
}

void buf_release(struct buf *b)
{
	free(b->p);
	*b = (struct buf)BUF_INIT;
}

static char *reserve(struct buf *b, size_t more)
{
	b->p = mem_grow(b->p, &b->cap, b->n + more, 1);
	return b->p + b->n;
}

void buf_add(struct buf *b, struct slice s)
{
	if (!s.n)
		return;
	memcpy(reserve(b, s.n), s.p, s.n);
	b->n += s.n;
}

void buf_str(struct buf *b, const char *cstr)
{
	buf_add(b, slice_of(cstr));
}

void buf_char(struct buf *b, char c)
{
	*reserve(b, 1) = c;
	b->n++;
}

void buf_fill(struct buf *b, char c, size_t count)
{
	if (!count)
		return;
	memset(reserve(b, count), c, count);
	b->n += count;
}

void buf_printf(struct buf *b, const char *fmt, ...)
{
	va_list ap;
	int n;

	va_start(ap, fmt);
	n = vsnprintf(NULL, 0, fmt, ap);
	va_end(ap);
	if (n <= 0)
		return;
	va_start(ap, fmt);
	vsnprintf(reserve(b, (size_t)n + 1), (size_t)n + 1, fmt, ap);
	va_end(ap);
	b->n += (size_t)n;
}

void buf_int(struct buf *b, int64_t v)
{
	char digits[24];
	size_t at = sizeof digits;
	uint64_t left = v < 0 ? 0 - (uint64_t)v : (uint64_t)v;

	do {
		digits[--at] = (char)('0' + left % 10);
		left /= 10;
	} while (left);
	if (v < 0)
		digits[--at] = '-';
	buf_add(b, (struct slice){ digits + at, sizeof digits - at });
}

void buf_count(struct buf *b, int64_t n, const char *thing)
{
	size_t length = strlen(thing);
	bool ies = length > 1 && thing[length - 1] == 'y' && !strchr("aeiou", thing[length - 2]);

	buf_int(b, n);
	buf_char(b, ' ');
	if (n != 1 && ies)
		buf_printf(b, "%.*sies", (int)(length - 1), thing);
	else
		buf_printf(b, "%s%s", thing, PLURAL(n, "", "s"));
}

const char *buf_cstr(struct buf *b)
{
	*reserve(b, 1) = '\0';
	return b->p;
}
