/*
 * reckoned.h - an answer of the bench calculator: rows of values, notes and cautions, or why there is none.
 *
 * A way's function gives the values of its rows in order, each in the base unit of its type, and adds
 * texts as they arise; or it refuses. `way` and `in` must be set before (reckon_run() does it).
 */
#ifndef WITHY_RECKONED_H
#define WITHY_RECKONED_H

#include <stdbool.h>
#include <stddef.h>

#include "wood/reckon.h"

enum { RECKON_TEXTS = 8 };

struct reckoned_row {
	struct slice name, unit;
	double value;
	unsigned places;
};

/* A finding is the answer in a sentence; a note is for readers; the reader must see a caution. In the order in which they arose. */
enum reckoned_kind { RECKONED_NOTE, RECKONED_CAUTION, RECKONED_FINDING };

struct reckoned {
	const struct reckon_way *way;
	const struct reckon_input *in;
	struct reckoned_row row[RECKON_ROWS];
	size_t n;
	struct { enum reckoned_kind kind; size_t at, n; } text[RECKON_TEXTS];
	size_t ntexts;
	struct buf words, refusal;
};

struct slice reckoned_text(const struct reckoned *r, size_t i);
void reckoned_release(struct reckoned *r);

/* ---- for the functions of the ways */

/* Gives the value of the next row. Always true, so that a function can end with it. */
bool reckoned_give(struct reckoned *r, double value);

/* Always false. */
bool reckoned_refuse(struct reckoned *r, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

void reckoned_finding(struct reckoned *r, const char *fmt, ...) __attribute__((format(printf, 2, 3)));
void reckoned_note(struct reckoned *r, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

/* A caution has no full stop and starts with a small letter. The caller that prints it adds the rest. */
void reckoned_caution(struct reckoned *r, const char *fmt, ...) __attribute__((format(printf, 2, 3)));

#endif
