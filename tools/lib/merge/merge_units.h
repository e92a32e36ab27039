/*
 * merge_units.h - a version of a book in the pieces that a merge keeps or changes as a whole.
 *
 * A book is read in its canonical form and order (tidy.h), so that two versions differ only in what they
 * say. Its units, in order, are
 *   - an entry, with the comment lines that belong to it above it;
 *   - lines of comments that stay where they are, up to the next blank line;
 *   - a line that cannot be read.
 * Blank lines between the units are only counted.
 */
#ifndef WITHY_MERGE_UNITS_H
#define WITHY_MERGE_UNITS_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "check/duplicates.h"

struct parser;

enum merge_kind { MERGE_ENTRY, MERGE_COMMENT, MERGE_UNREAD };

struct merge_unit {
	enum merge_kind kind;
	struct slice text;        /* all its lines, each with its LF */
	struct slice entry;       /* the line of the entry alone; of other units the same as `text` */
	struct slice date, time, event, subject; /* of an entry; time may be empty */
	struct slice fields;      /* all after the subject, but for the remark */
	struct entry_hash hash;   /* what the entry says; {0, 0} for other units */
	int32_t day, second;      /* of an entry */
	size_t above, below;      /* blank lines; those between two units count once */
};

struct merge_book {
	struct buf bytes;         /* the slices point into it */
	struct merge_unit *unit;
	size_t n, cap;
};

/*
 * Reads a version of a book. What is wrong in its lines goes to the parser's diagnostics, more than once;
 * a caller who does not report it clears them. To be released.
 */
void merge_book_read(struct merge_book *b, struct parser *parser, struct slice bytes);
void merge_book_release(struct merge_book *b);

/*
 * Comment lines at the end of `base`, without a blank line above them, belong to no entry there, but where a version
 * has an entry added below them they belong to that one. This takes them off that entry again.
 */
void merge_book_part_tail(struct merge_book *b, const struct merge_book *base);

/* Adds the text of a book in canonical form and order. */
void merge_write_tidy(struct buf *out, struct parser *parser, struct slice bytes);

#endif
