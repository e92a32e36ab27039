/*
 * utf8.h - UTF-8: whether bytes are it, how wide it shows, how others count its columns.
 *
 * Withy counts columns in bytes from 1. Editors count UTF-16 units, SARIF readers code points
 * and terminals cells: those are converted here and nowhere else. Widths and grapheme clusters
 * come from utf8proc's tables (this is the only file that sees it), never from wcwidth, which
 * follows the locale.
 *
 * Every function but the strict utf8_check() takes any bytes: a byte that is not part of a valid
 * character counts as one character of its own, as wide as the sign U+FFFD (one cell).
 */
#ifndef WITHY_UTF8_H
#define WITHY_UTF8_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

/*
 * Whether all of `s` is valid UTF-8 without a NUL: no overlong form, no surrogate, nothing above
 * U+10FFFF, nothing cut short. If not, *bad_at (may be NULL) is the offset of the first byte of
 * the first bad sequence. Plain ASCII goes 32 bytes at a time.
 */
bool utf8_check(struct slice s, size_t *bad_at);

/*
 * The first character of `s`: its code point in *point and the number of its bytes as the result.
 * 0 when `s` is empty or does not start with a valid character. A NUL is a valid character here.
 */
size_t utf8_decode(struct slice s, uint32_t *point);

/* Adds the character `point`, or U+FFFD where `point` is a surrogate or too big. */
void utf8_add(struct buf *b, uint32_t point);

/*
 * How many cells `s` takes on a terminal, by grapheme clusters. Control characters take none:
 * let text pass utf8_add_visible() before its width is asked.
 */
size_t utf8_width(struct slice s);

/* How many UTF-16 units `s` has. */
size_t utf8_units(struct slice s);

/*
 * The column of a byte of a line in UTF-16 units, from 0: a byte past its end counts as a unit of its own. And back: the byte
 * at which the character starts that has unit `units` from 0; s.n where the line has fewer.
 */
size_t utf8_units_before(struct slice s, size_t byte);
size_t utf8_byte_at_unit(struct slice s, size_t units);

/*
 * Adds `s` so that it can neither act on a terminal nor hide in a page: control characters (C0, DEL,
 * C1), line and paragraph separators, and the characters that turn the direction of writing are
 * written as \t \n \r, \x1b or \u202e; a byte that is not UTF-8 as \xff, lower-case hexadecimal.
 * A backslash stays one.
 */
void utf8_add_visible(struct buf *b, struct slice s);

/* The same, for a message: what is longer than `most` bytes is cut there, and ends in "...". */
void utf8_add_shown(struct buf *b, struct slice s, size_t most);

/*
 * Adds words, each with a blank before it, after `used` cells of a line. A word that does not fit `width` cells goes on
 * in a line of its own, indented by four.
 */
void utf8_add_wrapped(struct buf *out, struct slice words, size_t used, size_t width);

/* Adds words after `indent` cells of a line. One that does not fit `width` cells goes on in the next line, below the first. */
void utf8_add_folded(struct buf *out, struct slice words, size_t indent, size_t width);

/* Whether the character `point` is one of those that utf8_add_visible() does not let through. */
bool utf8_is_unsafe(uint32_t point);

/*
 * Adds the UTF-8 of text in ISO-8859-1 / in Windows-1252. The five bytes that Windows-1252 does
 * not define (81 8d 8f 90 9d) become U+FFFD; the result is how many there were.
 */
void utf8_add_latin1(struct buf *b, struct slice s);
size_t utf8_add_cp1252(struct buf *b, struct slice s);

#endif
