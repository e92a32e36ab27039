/*
 * text.h - slices of bytes, and a buffer that grows.
 *
 * A slice is <pointer, length>; it owns nothing and is not ended by a NUL. Every line of
 * a book, every id and every value is a slice into the block that was read, so that no
 * C-string function ever sees one. A buffer owns its bytes; `p` may be NULL while `n` is 0.
 */
#ifndef WITHY_TEXT_H
#define WITHY_TEXT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <string.h>

#include "base/mem.h"

struct slice {
	const char *p;
	size_t n;
};

/* A slice of a string literal. */
#define SLICE(literal) ((struct slice){ "" literal, sizeof(literal) - 1 })

struct slice slice_of(const char *cstr); /* of a C string; NULL gives an empty slice */

/* Whether n bytes are alike: what memcmp() says, without a call for the short words that ids are. */
static inline bool bytes_eq(const char *a, const char *b, size_t n)
{
	uint64_t x, y, u, v;
	uint32_t s, t, w, z;

	if (n > 16)
		return memcmp(a, b, n) == 0;
	if (n >= 8) {
		memcpy(&x, a, 8);
		memcpy(&y, b, 8);
		memcpy(&u, a + n - 8, 8);
		memcpy(&v, b + n - 8, 8);
		return ((x ^ y) | (u ^ v)) == 0;
	}
	if (n >= 4) {
		memcpy(&s, a, 4);
		memcpy(&t, b, 4);
		memcpy(&w, a + n - 4, 4);
		memcpy(&z, b + n - 4, 4);
		return ((s ^ t) | (w ^ z)) == 0;
	}
	while (n && a[n - 1] == b[n - 1])
		n--;
	return n == 0;
}

static inline bool slice_eq(struct slice a, struct slice b)
{
	return a.n == b.n && bytes_eq(a.p, b.p, a.n);
}

/* Bytewise order, a shorter one before its longer one: <0, 0, >0. */
int slice_cmp(struct slice a, struct slice b);

bool slice_starts(struct slice s, struct slice head);

/* Position of byte `c` in `s`, or s.n where there is none. */
size_t slice_find(struct slice s, char c);

/* `s` without its first `n` bytes (n <= s.n), and its first `n` bytes alone. */
struct slice slice_from(struct slice s, size_t n);
struct slice slice_upto(struct slice s, size_t n);

/* The bytes from `p` up to `end`. */
static inline struct slice slice_between(const char *p, const char *end)
{
	return (struct slice){ p, (size_t)(end - p) };
}

/* Without blanks and tabs at both ends. */
struct slice slice_trim(struct slice s);

/* A 64-bit hash of the bytes, the same on every machine. */
uint64_t slice_hash(struct slice s);

struct buf {
	char *p;
	size_t n, cap;
};

#define BUF_INIT { NULL, 0, 0 }

void buf_release(struct buf *b);
void buf_add(struct buf *b, struct slice s);
void buf_str(struct buf *b, const char *cstr);
void buf_char(struct buf *b, char c);
void buf_fill(struct buf *b, char c, size_t count);
void buf_printf(struct buf *b, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void buf_int(struct buf *b, int64_t v);

/* A number with its thing: "1 piece", "7 pieces", "0 pieces"; "1 entry", "2 entries". */
void buf_count(struct buf *b, int64_t n, const char *thing);

/* The word that goes with a number of things: PLURAL(n, "is", "are"), or PLURAL(n, "", "s") for an ending. */
#define PLURAL(n, one, more) ((n) == 1 ? (one) : (more))

static inline struct slice buf_slice(const struct buf *b)
{
	return (struct slice){ b->p ? b->p : "", b->n };
}

/* The bytes as a C string; a NUL follows them. Valid until the buffer changes. */
const char *buf_cstr(struct buf *b);

#endif
