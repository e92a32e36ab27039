/*
 * intake.h - an instrument's export becomes entries of the book.
 *
 * A run has one or more sources (a file with its mapping each). intake_step() reads rows and adds
 * finished lines of the book to `out`; whatever does not become an entry, and whatever is odd, is
 * handed to the tell function with its place. Every row counts once: as one that gave an entry,
 * or under one of the reasons TOLD_TITLE to TOLD_UNREADABLE. A reading that the run has met before
 * (the same series, moment and value) is one reading, told; readings of one moment about one
 * subject become one line.
 *
 * Memory follows the number of series, and 12 to 24 bytes a reading, by which repeats are known.
 * Every line was read by the book's own reader before it is given out.
 */
#ifndef WITHY_INTAKE_H
#define WITHY_INTAKE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct intake;
struct line;
struct mapping;
struct vocab;
struct zone;

enum told {
	/* why a row is no entry */
	TOLD_TITLE,        /* stands before the headings */
	TOLD_HEADING,      /* headings, and a line `sep=` */
	TOLD_BLANK,
	TOLD_TRAILER,      /* what the mapping calls a trailer */
	TOLD_NO_READING,   /* no cell that the mapping names holds a reading */
	TOLD_UNWANTED,     /* no entry of the mapping is for such a row */
	TOLD_REPEAT,       /* all of its readings were met before */
	TOLD_KNOWN,        /* all of its readings stand in the book */
	TOLD_UNREADABLE,
	TOLD_ROWS,         /* how many those are */
	/* what is odd besides */
	TOLD_CELL = TOLD_ROWS, /* a cell that could not be read; the row gave an entry all the same */
	TOLD_GAP, TOLD_BACK, TOLD_SHIFT, TOLD_INTERVAL,
	TOLD_CLOCK,        /* the clock went to or from summer time */
	TOLD_UNLIKE,       /* two unlike readings of one moment */
	TOLD_UNIT,         /* a cell had another unit than the mapping says */
	TOLD_FORM,         /* a row was written otherwise than the others, and understood */
	TOLD_KINDS
};

extern const char *const told_words[]; /* title, heading and so on */

enum told_level { TOLD_NOTE, TOLD_WARNING, TOLD_ERROR };

struct intake_note {
	enum told kind;
	enum told_level level;
	uint32_t file;
	uint64_t line, last;   /* the rows from line to last */
	uint32_t col;          /* from 1; 0 when the whole row is meant */
	struct slice text;     /* what is wrong, and how to mend it */
};

typedef void intake_tell(void *arg, const struct intake_note *note);

struct intake_counts {
	uint64_t rows, with_entry, entries, told[TOLD_KINDS];
};

/*
 * `works` is the works' clock, NULL when it is not known: then an export whose clock is a zone is
 * taken to be on the works' clock, and stamps of one with an offset bear the offset.
 */
struct intake *intake_new(const struct vocab *vocab, const struct zone *works, intake_tell *tell, void *arg);
void intake_free(struct intake *run);

/*
 * Makes a line of the book known, before the first source is added: its readings are not entered
 * again. `t_s` is its instant by the works' clock.
 */
void intake_know(struct intake *run, const struct line *line, int64_t t_s);

/*
 * Adds a source. `map` counts the run's mappings: sources of one mapping may overlap. Sources of
 * one run are read side by side, so that readings of one moment meet.
 */
void intake_add(struct intake *run, const struct mapping *m, uint32_t map, int fd, uint32_t file);

enum intake_state {
	INTAKE_MORE,
	INTAKE_DONE,
	INTAKE_NO_FIT,     /* a file does not fit its mapping (a heading lacks); it was told */
	INTAKE_NO_READ,    /* reading failed: intake_errno() says why, intake_file() where */
};

/* Adds some lines to `out`. */
enum intake_state intake_step(struct intake *run, struct buf *out);
int intake_errno(const struct intake *run);
uint32_t intake_file(const struct intake *run);

/*
 * Closes the sources when they are done, so that others can be added; with `last` none will be,
 * and what was held back is told.
 */
void intake_close(struct intake *run, bool last);

const struct intake_counts *intake_counts(const struct intake *run);

#endif
