/*
 * piece_notes.h - what the lines say of numbered pieces: their grade, class and mass, and the bat that they went into.
 *
 * `judge` says the first three; of each the latest line that has it counts, and of two at one moment the greater. `make` and
 * `rehandle` say what went into a bat. Ids are those of the intern table handed in.
 */
#ifndef WITHY_PIECE_NOTES_H
#define WITHY_PIECE_NOTES_H

#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "time/stamp.h"

struct line;

struct piece_note {
	uint32_t piece, lot;
	uint32_t grade, class;     /* 0: never said */
	int64_t mass;              /* micrograms; 0: never weighed */
	uint32_t bat;              /* 0: in none */
	struct stamp graded, classed, weighed;
};

struct piece_notes {
	struct intern *ids;
	struct piece_note *row;    /* after piece_notes_sort() by lot, then by the text of the piece */
	size_t n, cap;
	uint32_t *at;              /* by id of the piece: its row + 1, or 0 */
	size_t at_cap;
};

void piece_notes_init(struct piece_notes *p, struct intern *ids);
void piece_notes_release(struct piece_notes *p);

/* Takes a good line in; others than those named above are passed over. */
void piece_notes_take(struct piece_notes *p, const struct line *l);

void piece_notes_sort(struct piece_notes *p);

/* NULL for a piece that no line has. */
const struct piece_note *piece_note_of(const struct piece_notes *p, uint32_t piece);

/* After piece_notes_sort(): those of a lot, *n of them. */
const struct piece_note *piece_notes_of_lot(const struct piece_notes *p, uint32_t lot, size_t *n);

#endif
