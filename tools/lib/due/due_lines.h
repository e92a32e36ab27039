/*
 * due_lines.h - where in the book each matter was first and last written of, so that an item can name its line.
 *
 * First and last go by day and time. What is asked for is a word, a subject, and for some a day:
 *
 *	"" SUBJECT               any line of it
 *	EVENT SUBJECT            `load K27-09`, `order O-417`, `air store/r1`, `meter hyg1`
 *	EVENT SUBJECT DATE [TIME] the same of a day, of a moment: `air store/r1 2027-12-02 08:00`
 *	mc SUBJECT DATE          a line with readings of moisture
 *	meter= METER             a line that names the instrument, its setting left off
 *	tally at PLACE, into PLACE
 *
 * Memory: 48 bytes a line, and the names. A question goes through the lines of its subject.
 */
#ifndef WITHY_DUE_LINES_H
#define WITHY_DUE_LINES_H

#include "due/due.h"
#include "time/stamp.h"

struct event_def;
struct line;
struct place;

/* What a line is, for who has only its place. */
struct due_note {
	uint32_t file, subject;    /* subject: in `ids`; 0 for a line that cannot be read */
	uint64_t number;
	const struct event_def *event; /* NULL for a line that cannot be read */
	struct stamp stamp;        /* its day is INT32_MIN then */
	bool mc;                   /* it has readings of moisture */
	uint32_t before;           /* the line of the same subject that was taken before it, as index + 1, or 0 */
};

/* Names that are not those of a subject. */
enum due_named { DUE_METER, DUE_TALLY_AT, DUE_INTO, DUE_NAMED };

struct due_mark;

struct due_marks {
	struct intern names;
	uint32_t memo;             /* the name that was marked last */
	struct due_mark *of;       /* by name */
	size_t cap;
};

struct due_lines {
	struct intern ids;         /* of the subjects */
	uint32_t memo[16];         /* by some bits of the event: its last subject */
	uint32_t *latest;          /* by subject: the line that was taken last, as index + 1 */
	size_t cap;
	struct due_note *note;     /* in the order of the input */
	size_t n, notes_cap;
	struct due_marks marks[DUE_NAMED];
};

void due_lines_init(struct due_lines *d);
void due_lines_release(struct due_lines *d);

/* Takes a line of any kind, in the order of the input. */
void due_lines_take(struct due_lines *d, const struct line *l);

/* The first, or the last line of that; `when` is empty, a day, or a day and a time. Number 0 where there is none. */
struct due_line due_lines_first(const struct due_lines *d, const char *word, struct slice subject, struct slice when);
struct due_line due_lines_last(const struct due_lines *d, const char *word, struct slice subject, struct slice when);

/* What is known of the line at a place, or NULL; its subject. */
const struct due_note *due_lines_at(const struct due_lines *d, const struct place *place);
struct slice due_lines_subject(const struct due_lines *d, const struct due_note *note);

#endif
