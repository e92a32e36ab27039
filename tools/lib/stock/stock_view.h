/*
 * stock_view.h - the table of the stock on a day, by some keys.
 *
 * A row counts the pieces in stock that have the same keys. `oldest_days` is how long ago the oldest
 * of them took its form. The rows are sorted by the keys: forms in the order of the work, grades and classes in
 * that of the house file, age bands by age. What a room above knows of the pieces comes as parts
 * (stock_parts.h); without them the pieces are the buckets of the stock, which have no age band.
 */
#ifndef WITHY_STOCK_VIEW_H
#define WITHY_STOCK_VIEW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock.h"

struct table;

enum stock_by { STOCK_BY_PLACE, STOCK_BY_FORM, STOCK_BY_TYPE, STOCK_BY_GRADE, STOCK_BY_CLASS, STOCK_BY_LOT, STOCK_BY_AGE, STOCK_KEYS };

extern const char *const stock_by_words[]; /* ended by NULL */

/* Some pieces in stock that are alike. */
struct stock_part {
	struct stock_kind kind;
	int64_t n;                 /* 0 for money alone */
	int32_t since;             /* the day on which the oldest of them took this form */
	size_t band;               /* of their age */
	int64_t must_rest, resting; /* those that have to rest in their place; those of them that are not done */
	int32_t rested;            /* the day on which all are done; INT32_MIN: none is resting */
	int64_t value;             /* minor units */
	int64_t read, airy;        /* pieces whose moisture was read; pieces in a place whose air is known */
	int64_t mc, air;           /* the sums of these: moisture as last read, EMC of the air; 0.0001 % each */
	int32_t read_day;          /* of the last reading; INT32_MIN for none */
};

struct stock_facts {
	const struct stock_part *part;
	size_t nparts;
	const struct slice *band;  /* the words of the age bands, the youngest first, the last ending in ".." */
	size_t nbands;
	bool rest, value, moisture; /* which columns there are */
	struct slice currency;     /* of the value; empty: not known */
	unsigned places;           /* its decimals */
};

struct stock_ask {
	size_t by[STOCK_KEYS], nby; /* enum stock_by, in the order of the columns */
	int32_t today;              /* the day up to which the stock ran */
	const struct stock_facts *facts; /* or NULL */
};

/* Whether a key is among those of the rows. */
static inline bool stock_ask_has(const struct stock_ask *ask, enum stock_by by)
{
	for (size_t i = 0; i < ask->nby; i++)
		if (ask->by[i] == by)
			return true;
	return false;
}

/* After stock_run(). Initializes the table, which then belongs to the caller. */
void stock_view(const struct stock *s, const struct stock_ask *ask, struct table *t);

#endif
