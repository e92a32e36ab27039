/*
 * reader.h - the lines of one file of a book, or of a part of one.
 *
 * Blocks of 256 KiB are read into one buffer and the lines are slices of it; nothing is mapped
 * into memory, so a file that shrinks while it is read is an error and not a crash. A reader
 * has no global state: several threads can each read a part of the same file.
 *
 * A file or pipe of gzip or zstd data (packed.h) is unpacked as it is read; it has no parts.
 */
#ifndef WITHY_READER_H
#define WITHY_READER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/diag.h"
#include "book/parse.h"

enum { READER_BLOCK = 256 * 1024 };

struct packed;

struct reader {
	struct parser parser;
	char *block;
	size_t at, end;           /* next line, and the end of the bytes; an LF follows them */
	bool finished, crlf_told, skipping, regular, partial;
	struct slice bytes;       /* of reader_open_bytes(): what is still to be read */
	bool in_memory;
	int fd, error;            /* error: an errno, or READER_SHRANK */
	uint32_t file;
	uint64_t number;          /* of the last line given out */
	uint64_t bad;             /* how many of them were LINE_BAD */
	struct place crlf;        /* of a part: its first carriage return, not reported; line 0 for none */
	int64_t offset, size;     /* next byte to read; bytes that the file promised, or -1 */
	int64_t line_offset, stop; /* where block[at] is in the text; lines that start from here on are another's */
	struct packed *packed;    /* of gzip or zstd data; else NULL */
};

enum { READER_SHRANK = -2, READER_DIRECTORY = -3 };

void reader_init(struct reader *r, const struct vocab *vocab, struct diags *diags);
void reader_release(struct reader *r);

/*
 * Opens a file ("-" is standard input) as number `file` of the run. 0, or an error for
 * reader_error_write().
 */
int reader_open(struct reader *r, const char *path, uint32_t file);

/*
 * Opens the part of a regular file whose lines start in [from, to). Line numbers then count
 * from the part's first line.
 */
int reader_open_part(struct reader *r, const char *path, uint32_t file, int64_t from, int64_t to);

/*
 * The same for bytes in memory, which must stay until the end. `within`: they are not the start of their file; its first
 * carriage return is then not reported.
 */
void reader_open_bytes(struct reader *r, struct slice bytes, uint32_t file, bool within);

/* The next line, valid until the next call; NULL at the end or when reading failed (r->error). */
const struct line *reader_next(struct reader *r);

void reader_close(struct reader *r);

/* How many bytes of the file were used so far; those of a packed file are fewer than those of its text. */
int64_t reader_used(const struct reader *r);

/* Whether a regular file is packed, so that it cannot be read in parts. */
bool reader_is_packed(int fd);

/* Adds what an error means, in words; `at` is reader_used() when it came. */
void reader_error_write(struct buf *out, int error, int64_t at);

#endif
