/*
 * document.h - a file of a book as an editor has it: lines that change, and positions as the Language Server
 * Protocol counts them.
 *
 * Lines count from 0 and end with LF, CR LF or CR; there is always a last one without an end, which may be
 * empty. Places in a line are bytes from 0 inside, and UTF-16 units outside. A book knows no CR as a line's
 * end, so a line of the book (document_book_line()) can be several here; this happens only in broken files.
 *
 * A change costs a move of the lines after it where their number changes, and nothing where it does not.
 */
#ifndef WITHY_DOCUMENT_H
#define WITHY_DOCUMENT_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct buf;
struct slice;

struct document_line {
	char *p;               /* with its end */
	uint32_t n;
	bool owned;            /* the bytes are its own, and not part of `block` */
};

struct document {
	char *block;           /* the text that was set */
	struct document_line *line;
	size_t n, cap;
	size_t returns;        /* how many lines end with a CR alone */
};

/* A position: line, and UTF-16 units within it. */
struct document_spot {
	int64_t line, unit;
};

/* Which lines a change took away and which it put there: from `first` on, `old` and `now` many. */
struct document_change {
	size_t first, old, now;
};

void document_init(struct document *d);
void document_release(struct document *d);

/* Replaces the whole text. */
void document_set(struct document *d, struct slice text);

/* The lines that a change between two spots touches; spots that are not in the text are moved into it. */
struct document_change document_touched(const struct document *d, struct document_spot from, struct document_spot to);

/* Puts `text` in the place of what is between them. */
struct document_change document_replace(struct document *d, struct document_spot from, struct document_spot to,
	struct slice text);

/* A line without its end, and with it; empty past the last. */
struct slice document_text(const struct document *d, size_t line);
struct slice document_whole(const struct document *d, size_t line);

/* The byte of a spot in its line, and the units before a byte of a line. */
size_t document_byte(const struct document *d, struct document_spot spot);
size_t document_unit(const struct document *d, size_t line, size_t byte);

/* Where the book's line (from 1) and byte (from 0) is here: *line and *byte are changed. */
void document_book_line(const struct document *d, uint64_t number, size_t *line, size_t *byte);

/* Adds the lines [from, to) with their ends. */
void document_add(struct buf *out, const struct document *d, size_t from, size_t to);

#endif
