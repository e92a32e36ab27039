/*
 * jot_state.h - the book as it is before an entry is added: its mistakes, the ids in it, what is where, the
 * probes that are in, and the lines of the day.
 *
 * Lines are handed in as to the checker (check.h), which judges them too; jot_state_end() follows the last.
 */
#ifndef WITHY_JOT_STATE_H
#define WITHY_JOT_STATE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "jot/jot_choices.h"

struct check;
struct house;
struct line;
struct stock;
struct vocab;

/* One id that the book brings in, as one kind of thing (a SUBJECT_ bit). */
struct jot_id {
	struct slice id;
	unsigned kind;
	int32_t day;               /* of the first line that brings it in */
};

struct jot_state {
	const struct vocab *vocab;
	const struct house *house; /* or NULL */
	struct check *check;       /* the caller's */
	int32_t today;
	struct intern ids;         /* each behind a byte that says its kind; a row of `id` for each */
	struct jot_id *id;
	size_t nids, id_cap;
	struct buf lines;          /* today's entries, each with an LF */
	const struct stock *stock; /* after the end */
};

void jot_state_init(struct jot_state *s, const struct vocab *vocab, const struct house *house, struct check *check, int32_t today);
void jot_state_release(struct jot_state *s);

void jot_state_line(struct jot_state *s, const struct line *l);
void jot_state_end(struct jot_state *s);

/* The kinds of thing that the book knows of that id, as SUBJECT_ bits; 0 for an unknown one. */
unsigned jot_state_kinds(const struct jot_state *s, struct slice id);

/*
 * Adds the ids of these kinds (SUBJECT_ bits) that an entry may well be about: lots and bats that are here, or
 * (`sold`) that were sold; charges that hold pieces; every tree, order and parcel.
 * Charges come first, and of each kind the latest. `form`: only lots with pieces of
 * that FORM_, or -1.
 */
void jot_state_ids(const struct jot_state *s, unsigned kinds, bool sold, int form, struct jot_choices *out);

/* Every id of the book, with what it is. */
void jot_state_all(const struct jot_state *s, struct jot_choices *out);

/* Which pieces are meant: texts as in an entry, empty for any; form is a FORM_ or -1. */
struct jot_pick {
	struct slice lot, type, grade;
	int form;
	bool ungraded;
};

/* The one place where such pieces are; empty where there are none, or more than one. */
struct slice jot_state_place(const struct jot_state *s, const struct jot_pick *pick);

/*
 * Adds the labels of the probes that are in the subject on that day, as choices in the order in which bare readings
 * go to them: numbers by size, others by letter.
 */
void jot_state_probes(const struct jot_state *s, struct slice subject, int32_t day, struct jot_choices *out);

/*
 * Adds to `out` the id after the latest of that kind: K26-06 after K26-05. False where there is none, or it does
 * not end in a number.
 */
bool jot_state_next(const struct jot_state *s, unsigned kinds, struct buf *out);

#endif
