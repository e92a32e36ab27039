/*
 * stock_reach.h - which batches a line looks at, and to which it gives: clauses 7.2 and 7.3 of book(5).
 *
 * Both are sets of batches, written as patterns in which a word can be missing and then fits every word.
 * They follow from the line's text alone, and for a line of a charge without lot= from the lots of that
 * charge. Lines that do not meet change nothing for each other, so their order does not matter.
 */
#ifndef WITHY_STOCK_REACH_H
#define WITHY_STOCK_REACH_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock.h"

/* Patterns are kinds with STOCK_ANY, or -1 for the form, where a word is missing. */
struct stock_reaches {
	const struct stock *stock;
	struct stock_kind *pattern;
	size_t npatterns, patterns_cap;
};

/* Of one line: its patterns, looks first. */
struct stock_reach {
	uint32_t first, nlooks, ngives;
	uint32_t creates;          /* the lot or bat that it creates or finds pieces of, or 0 */
	bool open;                 /* it looks at more than one batch, or counts one: more pieces can spoil it */
	bool chooses;              /* which of several batches it takes from follows from what is there */
	bool still;                /* it changes nothing: a count without find or loss */
};

/* Adds the patterns of an op. lots[0..n) are those of its charge, if it names no lot. */
struct stock_reach stock_reach_of(const struct stock *s, struct stock_reaches *all, const struct stock_op *op, const uint32_t *lots, size_t n);
void stock_reaches_release(struct stock_reaches *all);

/* Whether some batch fits both patterns. */
bool stock_kinds_meet(const struct stock *s, const struct stock_kind *a, const struct stock_kind *b);

/* Whether x gives to a batch that y looks at. */
bool stock_reach_gives(const struct stock_reaches *all, const struct stock_reach *x, const struct stock_reach *y);

/* Whether both look at one batch. */
bool stock_reach_shares(const struct stock_reaches *all, const struct stock_reach *x, const struct stock_reach *y);

/* Whether the lines meet. */
bool stock_reach_meets(const struct stock_reaches *all, const struct stock_reach *x, const struct stock_reach *y);

/*
 * Whether y, while it is still to come, can make it matter when x is applied. If no line to come can, then
 * x can as well be applied as soon as it can be: whatever order is valid stays so with x in front.
 */
bool stock_reach_hinders(const struct stock_reaches *all, const struct stock_reach *x, const struct stock_reach *y);

#endif
