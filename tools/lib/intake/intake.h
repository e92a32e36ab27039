/*
 * intake.h - an instrument's export becomes entries of the book.
 *
 * A run has one or more sources (a file with its mapping each). intake_step() reads rows and adds
 * finished lines of the book to `out`. Whatever does not become an entry, and whatever is odd, becomes
 * a note with its place (intake_note.h). Every row counts once: as one that gave an entry, or under
 * one of the reasons NOTE_TITLE to NOTE_UNREADABLE. A reading that the run has met before (the same
 * series, moment and value) is entered once; readings of one moment about one subject become one line.
 *
 * Memory follows the number of series, and 12 to 24 bytes a reading, by which repeats are known.
 * Every line was read by the book's own reader before it is given out.
 */
#ifndef WITHY_INTAKE_H
#define WITHY_INTAKE_H

#include <stdbool.h>
#include <stdint.h>

#include "intake/intake_note.h"

struct house;
struct intake;
struct line;
struct mapping;
struct vocab;
struct zone;

struct intake_counts {
	uint64_t rows, with_entry, entries;
	uint64_t notes[NOTE_KINDS];  /* up to NOTE_ROWS: rows, beyond it notes */
};

/*
 * `works` is the works' clock, NULL when it is not known: then an export whose clock is a zone is
 * taken to be on the works' clock, and stamps of one with an offset have the offset. `note` gets each
 * note, with `arg`.
 */
struct intake *intake_new(const struct vocab *vocab, const struct zone *works, intake_note_fn *note, void *arg);
void intake_free(struct intake *run);                      /* NULL does nothing */

/* Warns of readings of air that this house takes for implausible, from now on. */
void intake_watch(struct intake *run, const struct house *house);

/*
 * Makes an event of the book known, before the first source is added: its readings are not entered
 * again. Where the works' clock is not known, it is the zone of `m`, the same one for all lines.
 */
void intake_know(struct intake *run, const struct line *line, const struct mapping *m);

/*
 * Adds a source. `map` counts the run's mappings: sources of one mapping may overlap. Sources of
 * one run are read side by side, so that readings of one moment meet. The run closes `fd` with the
 * source, except standard input.
 */
void intake_add(struct intake *run, const struct mapping *m, uint32_t map, int fd, uint32_t file);

enum intake_state {
	INTAKE_MORE,
	INTAKE_DONE,
	INTAKE_NO_OPEN,    /* only of intake_files_step(): a file cannot be opened */
	INTAKE_NO_FIT,     /* a file does not fit its mapping (a heading lacks); there is a note of it */
	INTAKE_NO_READ,    /* reading failed: intake_errno() says why, intake_file() where */
};

/* Adds some lines to `out`. */
enum intake_state intake_step(struct intake *run, struct buf *out);
int intake_errno(const struct intake *run);
uint32_t intake_file(const struct intake *run);

/*
 * Closes the sources when they are done, so that others can be added; with `last` none will be,
 * and notes that were held back are given.
 */
void intake_close(struct intake *run, bool last);

const struct intake_counts *intake_counts(const struct intake *run);

/* How many rows, cells and whole files could not be read. */
uint64_t intake_unread(const struct intake_counts *counts);

/* Whether every row gave an entry or had no reading, and there was an entry at all. */
bool intake_is_whole(const struct intake_counts *counts);

#endif
