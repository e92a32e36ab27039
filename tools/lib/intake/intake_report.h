/*
 * intake_report.h - an intake's notes as lines: rows that follow each other for the same reason are one
 * line, and of each kind only so many are shown.
 *
 * As text:  FILE:LINE:COL: note: TEXT (29 rows, to line 40) [no-reading]
 * as TSV:   file line last col level kind rows text, with a header row; the totals last.
 */
#ifndef WITHY_INTAKE_REPORT_H
#define WITHY_INTAKE_REPORT_H

#include <stdbool.h>
#include <stdint.h>

#include "intake/intake.h"

enum { INTAKE_REPORT_MOST = 20 };     /* lines of a kind that are shown, when not each is asked for */

struct intake_report {
	bool tsv, each, quiet;   /* quiet: no notes, but warnings, errors and the totals */
	const char *const *path; /* by number of the file */
	const char *(*name)(const char *path); /* what messages call it */
	struct buf out;          /* lines finished; the caller writes and empties it */
	/* its own */
	struct intake_note held; /* rows that may go on; held.text is kept in `words` */
	uint64_t rows;           /* of them; 0: nothing is held */
	struct buf words;
	uint64_t shown[NOTE_KINDS], hidden[NOTE_KINDS];
	bool begun;
};

void intake_report_release(struct intake_report *r);
/* An intake_note_fn: `report` is a struct intake_report. */
void intake_report_add(void *report, const struct intake_note *note);

/* Adds what is held, and the totals: 1440 rows = 1432 entries + 8 skipped (...). */
void intake_report_end(struct intake_report *r, const struct intake_counts *counts);

#endif
