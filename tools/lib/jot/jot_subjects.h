/*
 * jot_subjects.h - what an entry is about, as it is typed: B0204,B0207 or B0204..B0207, K. or +.
 */
#ifndef WITHY_JOT_SUBJECTS_H
#define WITHY_JOT_SUBJECTS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct jot_making;

enum { JOT_SUBJECTS_MOST = 200 };  /* of one entry */

struct jot_subjects {
	struct buf *id;
	size_t n, cap;
};

/* Reads them for the event of `m`. False, and the entry's error, where they are wrong. To be released in both cases. */
bool jot_subjects_read(struct jot_subjects *s, struct jot_making *m, struct slice typed);
void jot_subjects_release(struct jot_subjects *s);

#endif
