/*
 * partial.h - what a filter has counted so far, as a table that another run of it can go on from.
 *
 * A state holds one or more sets of groups (group.h). Written, it is one table, a row for each
 * count and each sum:
 *
 *	set	key	what	n	sum	squares	least	most	least_who	most_who
 *	state	wy-air	1	...
 *	settings	-	by=place,month
 *	air	store/r1 2026-03	readings	44640
 *	air	store/r1 2026-03	temp	44640	8764321000	...
 *	left-out	-	-	0
 *	end	-	-	5
 *
 * The first row has the tool and the version of the form. The last row has the number of rows
 * between the two, so a state that was cut short is detected. Keys are joined by blanks, an empty one is `-`.
 * Several states one after another are as good as several files. Counts of nothing and sums of no
 * reading are left out, so that equal contents are equal bytes.
 */
#ifndef WITHY_PARTIAL_H
#define WITHY_PARTIAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct groups;
struct table;

enum { PARTIAL_VERSION = 1 };

struct partial {
	const char *tool;          /* "wy-air" */
	struct slice settings;     /* what has to be alike for two states to add up; no tab, no line end */
	struct groups *const *set; /* sorted when written */
	size_t nsets;
	void (*pack)(void);        /* called before the sets are written, or NULL */
	/*
	 * Or NULL: gets the rows of a state instead of the sets, which must count one thing and sum
	 * nothing; what that set would have got, and how many. False when no filter wrote the row.
	 */
	bool (*take)(const struct groups *set, const struct slice *key, int64_t n);
	/*
	 * Or NULL: a set, with one count, of what no two states may have, because answers are only sound where its lines are all in
	 * one part. It also notices a state that is given twice.
	 */
	const struct groups *once;
	uint64_t left_out;         /* lines that could not be read and were left out */
};

/* Fills `t`, which is initialized here and belongs to the caller. */
void partial_write(const struct partial *s, struct table *t);

/*
 * Adds all states in `text` (as tsv) to `s`. Returns false when a state is broken, is of another tool
 * or version, or has other settings. Then `error` describes the fault and names its line, and part of
 * the state may have been added.
 */
bool partial_read(struct partial *s, struct slice text, struct buf *error);

/* Reads a whole number as a state has it: decimal digits, perhaps a minus. */
bool partial_int(struct slice s, int64_t *v);

#endif
