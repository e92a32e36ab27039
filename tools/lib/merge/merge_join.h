/*
 * merge_join.h - one book out of two versions of it and the base that both come from.
 *
 * Which unit of a version was which of the base is in merge_pairs.h, what is taken or asked in merge_verdict.h.
 * The result is in canonical form and order. It has the same bytes whichever version is called ours, but
 * that a conflict shows ours first:
 *
 *	<<<<<<< ours: edited on both sides
 *	2026-03-05       seal    L061   with=wax by=jo
 *	||||||| base
 *	2026-03-05       seal    L061   with=wax
 *	=======
 *	2026-03-05       seal    L061   with=wax by=mk
 *	>>>>>>> theirs
 *
 * Such marks are what git writes, so that what looks for those finds these; book(5), clause 2.7, has them.
 */
#ifndef WITHY_MERGE_JOIN_H
#define WITHY_MERGE_JOIN_H

#include <stddef.h>

#include "base/text.h"

struct parser;

enum { MERGE_MARK_SIZE = 7 };

enum merge_note_kind {
	MERGE_NOTE_ONCE,       /* both sides wrote the same new entry; it is kept once */
	MERGE_NOTE_BOTH        /* both added an entry of the same date, time, event and subject; both are kept */
};

struct merge_note {
	enum merge_note_kind kind;
	struct slice line;     /* the entry, without its LF */
};

struct merged {
	struct buf text;
	size_t conflicts;
	struct merge_note *note;
	size_t nnotes, notes_cap;
	struct buf words;      /* of the notes */
};

/*
 * Merges. `parser` reads the lines; its diagnostics get what is wrong in them, to be cleared. `mark_size` is
 * how often a conflict mark repeats its character. To be released.
 */
void merge_join(struct merged *m, struct parser *parser, struct slice base, struct slice ours, struct slice theirs, size_t mark_size);
void merged_release(struct merged *m);

/*
 * The next conflict in the text from `*at` on: moves `*at` beyond its first mark and counts `*line`, which was 0 at
 * the start, to the number of that line. False at the end. The slices are the reason, and the first entry of the
 * conflict, or its first line if none of its lines is an entry.
 */
bool merged_conflict(const struct merged *m, size_t mark_size, size_t *at, size_t *line, struct slice *reason, struct slice *first);

#endif
