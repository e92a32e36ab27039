/*
 * weigh_book.h - what the lines of a book say of masses: judged pieces, finished bats, check weights.
 *
 * Lines are handed in in any order. After weigh_book_end() the rows are in an order that follows from the lines' days and
 * texts alone. Ids are those of a stock's table. Memory: 64 bytes a judged piece, 96 a finished bat.
 */
#ifndef WITHY_WEIGH_BOOK_H
#define WITHY_WEIGH_BOOK_H

#include <stddef.h>
#include <stdint.h>

#include "trace/stated.h"

struct house;

/* What comes before another line about the same: the day, the time, and for two at once the text. */
struct weigh_when {
	int32_t day, second;
	uint64_t text_hash;
};

/* A `judge` line. Class and grade are ids, 0 where it does not say. */
struct weigh_judged {
	struct slice name;         /* of the piece */
	uint32_t piece, lot, class, grade;
	struct weigh_when when;
	int64_t mass;              /* micrograms, 0 where it does not say; corrected by scale_correction.h */
	int64_t as_weighed;        /* as it was written */
	int64_t mc;                /* as corrected (meter.h), 0.0001 %; HOUSE_NONE where it does not say */
};

/* A `finish` line with a mass. Sizes in mm, NAN where it does not say; `by` and `shape` are ids, or 0. */
struct weigh_finished {
	struct slice name;
	uint32_t bat, by, shape;
	struct weigh_when when;
	int64_t mass;              /* micrograms; corrected likewise */
	double length_mm, width_mm, depth_mm, edge_mm;
};

/* A `meter` line whose reference is a mass. */
struct weigh_check {
	struct slice name;         /* of the balance */
	uint32_t balance;
	struct weigh_when when;
	int64_t is, read;          /* 0.0001 g */
};

struct weigh_book {
	const struct house *house; /* or NULL */
	struct intern *ids;
	struct stated stated;      /* which blade is in a bat */
	struct weigh_judged *judged; /* by piece */
	struct weigh_finished *finished; /* by bat; of each the first, as it was made of its blank */
	struct weigh_check *check; /* by balance, then by reference */
	int64_t step;              /* see weigh_book_step() */
	size_t njudged, nfinished, nchecks, judged_cap, finished_cap, checks_cap;
};

void weigh_book_init(struct weigh_book *b, const struct house *house, struct intern *ids);
void weigh_book_release(struct weigh_book *b);

/* Takes a good line in; those that say nothing of the kind are skipped. */
void weigh_book_take(struct weigh_book *b, const struct line *l);

/* After the last line, before anything is asked. */
void weigh_book_end(struct weigh_book *b);

/* The finishing of a bat, or NULL. */
const struct weigh_finished *weigh_book_finished(const struct weigh_book *b, struct slice bat);

/*
 * The step in which all bats were weighed, as written, in micrograms: 1, 1/2, 1/4 or 1/10 oz, or 10, 5 or 1 g. 0 where fewer than eight
 * are known, or where they fit none.
 */
int64_t weigh_book_step(const struct weigh_book *b);

#endif
