/*
 * rates.h - the exchange rates of a book: what one unit of a currency is worth in another, from a day on.
 *
 * A rate holds from its day until the next one (clause 10.8 of book(5)). Of two of one day the one with the
 * later time holds, one without a time being the first; of two without that difference the greater.
 * Currencies are the indexes of vocab.h.
 */
#ifndef WITHY_RATES_H
#define WITHY_RATES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct line;

struct rate {
	int currency, own;         /* one unit of `currency` is worth `is` of `own` */
	int32_t day, second;       /* second: of the day, or STAMP_NO_TIME */
	int64_t is;                /* 1e-8 */
};

struct rates {
	struct rate *row;
	size_t n, cap;
	bool sorted;
};

void rates_release(struct rates *r);

/* Takes a `rate` line in. */
void rates_add(struct rates *r, const struct line *l);

/* The rate in force on a day, or NULL: none on or before it. Sorts the rates first, if more came in. */
const struct rate *rates_on(struct rates *r, int currency, int own, int32_t day);

#endif
