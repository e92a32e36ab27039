/*
 * csv.h - the rows of an instrument's export: any separator, quoting however broken, no row lost.
 *
 * A row is one line of the file. It is more than one only where a quoted cell holds line ends, the
 * quote closes within CSV_ROW_LINES lines, and the row then has as many cells as `expect` says
 * (0: any number); otherwise the quote is an ordinary character and the row ends where its line
 * does. So a stray quote spoils its own row and never swallows the next ones. That, and columns
 * for messages, is why no CSV library is used: those that were looked at take a quote that never
 * closes to the end of the file, and give cells without places.
 *
 * Files in UTF-16 are turned into UTF-8 as they are read, and columns then count bytes of that.
 * In other encodings the bytes of a cell are the file's own: csv_utf8() turns them. A byte-order
 * mark takes precedence over the style, and is not part of the first cell.
 *
 * One buffer is reused: the cells of a row are good until the next csv_next(). Its size does not
 * follow the length of the file; a line of more than CSV_LONGEST bytes, or of more than CSV_CELLS
 * cells, is given out as a fault with its line, and reading goes on after it.
 */
#ifndef WITHY_CSV_H
#define WITHY_CSV_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

enum { CSV_LONGEST = 1 << 20, CSV_CELLS = 4096, CSV_ROW_LINES = 20, CSV_BLOCK = 256 * 1024 };

enum csv_encoding { CSV_UTF8, CSV_CP1252, CSV_LATIN1, CSV_UTF16LE, CSV_UTF16BE };

extern const char *const csv_encoding_words[]; /* utf-8 and so on, ended by NULL */

struct csv_style {
	char separator[8];
	size_t separator_n;        /* 0: a run of blanks and tabs */
	char quote;                /* NUL: no quoting */
	enum csv_encoding encoding;
};

struct csv_cell {
	struct slice text;         /* without its quotes, doubled quotes made one, blanks kept */
	uint32_t col;              /* of its first byte (of the quote), from 1 */
	bool quoted;
};

/* As an error: a regular file ended before its size. csv_error() says any in words. */
enum { CSV_SHRANK = 1 << 20 };
const char *csv_error(int error);

enum csv_fault { CSV_OK, CSV_TOO_LONG, CSV_TOO_MANY };

struct csv_row {
	const struct csv_cell *cell;
	size_t n;
	uint64_t line, last;       /* from 1; last > line where a cell holds line ends */
	struct slice raw;          /* the line without its end; at a fault its start */
	enum csv_fault fault;
	bool unended;              /* it has no line end: the file's last line */
	bool rewrapped;            /* the whole line was one cell in quotes, and was split again */
};

struct csv {
	int fd, error;             /* error: an errno when reading failed, or CSV_SHRANK */
	struct csv_style style;
	size_t expect;
	bool bom, lone_cr;         /* a byte-order mark was there; lines end in CR alone */
	/* its own */
	char *block, *raw;
	size_t at, end, cap, raw_n;
	bool finished, settled, sized;
	int64_t promised;          /* bytes that a regular file has left, or 0 */
	uint32_t high;             /* the first half of a surrogate pair */
	uint64_t line;
	struct csv_cell *cell;
	size_t ncells, cell_cap;
	struct buf text, unwrapped;
	struct csv_row row;
};

/* Reads from `fd`, which the caller opened and closes. `style` is copied. */
void csv_init(struct csv *c, int fd, const struct csv_style *style);
void csv_release(struct csv *c);

/*
 * The file's first bytes as they are, before anything else is called: 512, unless it is shorter. They show
 * whether it is a table at all.
 */
struct slice csv_start(struct csv *c);

/*
 * Instead of rows, after csv_start(): adds all of the file's bytes to `out`, at most `most`. False when
 * there are more, and when reading failed (c->error).
 */
bool csv_take_all(struct csv *c, size_t most, struct buf *out);

/*
 * Reads ahead and returns the file's first bytes, at most CSV_BLOCK, so that a style can be chosen.
 * The bytes are unchanged, but have no byte-order mark; UTF-16 with a mark is given as UTF-8.
 * To be called before csv_next(). With style.encoding CSV_UTF8, UTF-16 without a mark is recognised too.
 */
struct slice csv_peek(struct csv *c);

/*
 * The next row, or NULL at the end or when reading failed (c->error). A blank line is a row of one
 * empty cell.
 */
const struct csv_row *csv_next(struct csv *c);

/* Splits one line by a style, as csv_next() does. The cells are good until the next call. */
const struct csv_row *csv_split(struct csv *c, struct slice line);

/*
 * The bytes as UTF-8: themselves when the encoding is or became UTF-8, else turned into `scratch`,
 * which is emptied first. Bytes that are not UTF-8 stay as they are.
 */
struct slice csv_utf8(enum csv_encoding encoding, struct slice bytes, struct buf *scratch);

/*
 * The separator that a first line `sep=;` (in quotes or not) names: true, and it is put into
 * *style.
 */
bool csv_sep_line(struct slice line, struct csv_style *style);

#endif
