/*
 * stated.h - what the lines of a book say of things besides where they are: of a tree its parcel and licence,
 * of a bought lot its supplier and origin, of a charge its kiln, of a piece who judged it, of a bat which
 * blade is in it and why it came back; and the notes about any of them.
 *
 * Ids are those of the table handed in, which is a stock's. Lines may be handed in in any order: rows of one thing
 * are in the order of their days, and of one day in an order that follows from the lines' texts alone. Memory goes with
 * things and opinions: 40 bytes a judged piece.
 */
#ifndef WITHY_STATED_H
#define WITHY_STATED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "book/vocab.h"

struct intern;
struct line;

/* Every row begins alike: what it is about, and when. */
#define STATED_ROW uint32_t id; int32_t day; uint64_t text_hash

/* A `fell`, a `buy`, or a `tally` that found something. All but days, numbers and texts are ids, 0 for none. */
struct stated_source {
	STATED_ROW;                  /* the tree or the lot */
	uint32_t parcel, site, licence, from, origin, doc;
	uint32_t event;            /* EVENT_FELL, EVENT_BUY or EVENT_TALLY */
};

struct stated_judge {
	STATED_ROW;                  /* the lot */
	uint32_t piece, by, grade;
	int32_t grains;            /* -1 where it is not said */
};

/* A bat that was made, or got a new handle; the blade as it was written, 0 for the latter. */
struct stated_bat {
	STATED_ROW;
	uint32_t blade, handle;
};

struct stated_return {
	STATED_ROW;                  /* the bat, or the lot */
	uint32_t cause, from;
	int64_t n;
};

struct stated_note {
	STATED_ROW;
	uint32_t by;
	struct slice text;         /* as written, with its quotes */
};

struct stated {
	struct intern *ids;
	bool pieces;               /* whether it is asked how single pieces were judged and which bats they are in: the caller's to set; true */
	struct stated_source *source;
	struct stated_judge *judge;
	struct stated_bat *bat;
	struct stated_return *back;
	struct stated_note *note;
	size_t nsources, njudges, nbats, nbacks, nnotes;
	size_t sources_cap, judges_cap, bats_cap, backs_cap, notes_cap;
	struct blade_row *of_blade; /* the bats by their blades */
	uint32_t met[FIELDS_END + 1]; /* the last word of each field, and the last subject */
	uint32_t *kiln;            /* by charge */
	size_t kilns_cap;
};

void stated_init(struct stated *t, struct intern *ids);
void stated_release(struct stated *t);

/* Takes a good line in; those that say nothing of the kind are passed over. */
void stated_take(struct stated *t, const struct line *l);

/* Puts all in order; nothing may be taken after. */
void stated_end(struct stated *t);

/* The rows of one id, the first of them and how many. */
const struct stated_source *stated_source_of(const struct stated *t, uint32_t id); /* or NULL */
const struct stated_judge *stated_judges_of(const struct stated *t, uint32_t lot, size_t *n);
const struct stated_bat *stated_bats_of(const struct stated *t, uint32_t bat, size_t *n);
const struct stated_return *stated_returns_of(const struct stated *t, uint32_t id, size_t *n);
const struct stated_note *stated_notes_of(const struct stated *t, uint32_t id, size_t *n);
uint32_t stated_kiln_of(const struct stated *t, uint32_t charge);

/* The bat that was made of a blade, as it is written there; 0 for none. */
uint32_t stated_bat_with(const struct stated *t, uint32_t blade);

#endif
