/*
 * due_lines.h - where in the book each matter was last written of, so that an item can name its line.
 *
 * Of every event line the place is kept under a few names, and under each name the first and the last line by
 * day and time. Names are texts of words with blanks between:
 *
 *	SUBJECT                  any line of it
 *	EVENT SUBJECT            `load K27-09`, `order O-417`, `air store/r1`, `meter hyg1`
 *	EVENT SUBJECT DATE [TIME] the same of a day, of a moment: of air, and of readings of moisture (`mc L061 2027-12-02`)
 *	meter= METER             a line that names the instrument, its setting left off
 *	probe K27-09 LABEL       a reading of a label
 *	tally at PLACE, into PLACE
 *
 * Memory: 40 bytes a line, and the names.
 */
#ifndef WITHY_DUE_LINES_H
#define WITHY_DUE_LINES_H

#include "due/due.h"
#include "time/stamp.h"

struct line;
struct place;

struct due_mark {
	struct due_line first, last;
};

/* What a line is, for who has only its place. */
struct due_note {
	uint32_t file, subject;    /* subject: in `ids`; 0 for a line that cannot be read */
	uint64_t number;
	int32_t day;
	int event;
};

struct due_lines {
	struct intern ids;
	struct due_mark *mark;     /* by name */
	size_t cap;
	struct due_note *note;     /* in the order of the input */
	size_t n, notes_cap;
	struct buf name;
};

void due_lines_init(struct due_lines *d);
void due_lines_release(struct due_lines *d);

/* Takes a line of any kind, in the order of the input. */
void due_lines_take(struct due_lines *d, const struct line *l);

/* The first, or the last line of a name: parts with blanks between, empty ones left out. Number 0 where there is none. */
struct due_line due_lines_first(struct due_lines *d, const char *word, struct slice a, struct slice b);
struct due_line due_lines_last(struct due_lines *d, const char *word, struct slice a, struct slice b);

/* What is known of the line at a place, or NULL; its subject. */
const struct due_note *due_lines_at(const struct due_lines *d, const struct place *place);
struct slice due_lines_subject(const struct due_lines *d, const struct due_note *note);

#endif
