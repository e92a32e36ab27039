/*
 * works.h - a works as the language server holds it: its house file and the files of its book, as they are in the
 * editor or, where they are not open, on disk.
 *
 * A file belongs to the house file that -H or WITHY_HOUSE names, or else to house.yaml in its folder or the nearest
 * one above. Without one each file is a book of its own. A file that is open and that the house file does not name
 * is read after the others, as `wy-check -b FILE` does.
 *
 * `changes` counts what may change an answer. Every line of every file is in `ids`.
 */
#ifndef WITHY_WORKS_H
#define WITHY_WORKS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/reader.h"
#include "house/house.h"
#include "serve/document.h"
#include "serve/findings.h"
#include "serve/id_list.h"

struct zone;

/* How a file was on disk when it was last looked at. */
struct works_seen {
	int64_t seconds, nanoseconds, bytes; /* bytes: -1 where it is not there */
};

/* What is left of a lot or in a charge after a line: `text` is shown after it. */
struct works_left {
	size_t line;
	uint32_t at, n;               /* in `left_text` */
};

struct works_file {
	char *path, *name, *uri;      /* name: as messages call it; uri: the editor's own, or NULL */
	struct document text;
	bool open, listed, unread;    /* listed: in the house file; unread: it is not on disk */
	int64_t version;
	struct works_seen seen;
	struct findings found, published;
	struct works_left *left;
	size_t nleft;
	struct buf left_text;
	bool to_publish;
};

/* Where pieces of a lot are now, or how many in a place. */
struct works_stay {
	uint32_t lot, lot_n, at, n;   /* in `stay_text`: the lot, and what is shown of it */
};

struct works {
	char *house_path;             /* or NULL */
	struct works_seen house_seen;
	struct house *house;          /* or NULL */
	struct findings house_found;
	bool house_to_publish;
	struct vocab vocab;
	struct zone *zone;
	uint8_t level[256];           /* of the rules */
	struct works_file **file;
	size_t n, cap;
	struct id_list ids;
	struct diags scratch;         /* what `parser` reports is not kept */
	struct parser parser;
	uint64_t changes, checked;    /* the state that was last checked as a whole */
	struct works_stay *stay;
	size_t nstays;
	struct buf stay_text;
};

/* `house_path` may be NULL; it is copied. Reads the house file and the book's files. */
struct works *works_new(const char *house_path);
void works_free(struct works *w);

/* The file at that path, or NULL; and the same, added where it is not yet there. */
struct works_file *works_find(const struct works *w, const char *path);
struct works_file *works_add(struct works *w, const char *path);

/* The editor opened it, changed it, closed it. After the last the disk counts again, and an unlisted file is gone. */
void works_open(struct works *w, struct works_file *f, struct slice text);
struct document_change works_change(struct works *w, struct works_file *f, struct document_spot from,
	struct document_spot to, struct slice text);
void works_close(struct works *w, struct works_file *f);

/* Looks at the files on disk that are not open, and at the house file; reads again what changed. */
void works_look(struct works *w);

/* One line, read: valid until the next. Its diagnostics are dropped. */
const struct line *works_line(struct works *w, struct slice text);

/* Whether the word is in a list of the house file; then it is not an id of the book. */
bool works_is_house_word(const struct works *w, struct slice word);

/* Where a request points. */
struct ask {
	struct works *works;
	struct works_file *file;
	size_t line, byte;     /* within the file; byte is in the line's text */
	int32_t today;
};

/* The index of a file. */
size_t works_index(const struct works *w, const struct works_file *f);

#endif
