/*
 * intake_note.h - what an intake notes of its rows: the kinds, and one note.
 *
 * A kind below NOTE_ROWS is the reason why a whole row gave no entry; the others note what is odd.
 */
#ifndef WITHY_INTAKE_NOTE_H
#define WITHY_INTAKE_NOTE_H

#include <stdint.h>

#include "book/diag.h"

enum note_kind {
	/* why a row gives no entry */
	NOTE_TITLE,        /* it is before the headings */
	NOTE_HEADING,      /* headings, and a line `sep=` */
	NOTE_BLANK,
	NOTE_TRAILER,      /* what the mapping calls a trailer */
	NOTE_NO_READING,   /* no cell that the mapping names holds a reading */
	NOTE_UNWANTED,     /* no entry of the mapping is for such a row */
	NOTE_REPEAT,       /* all of its readings were met before */
	NOTE_KNOWN,        /* all of its readings are in the book */
	NOTE_UNREADABLE,
	NOTE_ROWS,         /* how many those are */
	/* what is odd besides */
	NOTE_CELL = NOTE_ROWS, /* a cell that could not be read; the row gave an entry all the same */
	NOTE_GAP, NOTE_BACK, NOTE_SHIFT, NOTE_INTERVAL,
	NOTE_CLOCK,        /* the clock went to or from summer time */
	NOTE_UNLIKE,       /* two unlike readings of one moment */
	NOTE_UNIT,         /* a cell had another unit than the mapping says */
	NOTE_FORM,         /* a row was written otherwise than the others, and understood */
	NOTE_IMPLAUSIBLE,  /* a reading outside what air can be */
	NOTE_JUMP, NOTE_STUCK, /* a value that changes too fast, or not at all */
	NOTE_SHEET,        /* which cells of which sheet were read */
	NOTE_FILE,         /* the whole file cannot be read as the mapping says */
	NOTE_LEFT_OUT,     /* a possible value that the file's `missing` lists */
	NOTE_SECTION,      /* lines before a repeated header row are not those before the first */
	NOTE_DIFFERS,      /* the book has another value of this reading, which stays */
	NOTE_ORDER,        /* the newest row is the first */
	NOTE_KINDS
};

extern const char *const note_words[NOTE_KINDS]; /* title, heading and so on */

struct intake_note {
	enum note_kind kind;
	enum diag_level level;
	uint32_t file;
	uint64_t line, last;   /* the rows from line to last */
	uint32_t col;          /* from 1; 0 when the whole row is meant */
	struct slice sheet;    /* of a workbook, whose cells line and col count; else empty */
	struct slice text;     /* what is wrong, and how to correct it; valid during the call */
};

typedef void intake_note_fn(void *arg, const struct intake_note *note);

#endif
