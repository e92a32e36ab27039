/*
 * stock_view.h - the table of the stock on a day, by some keys.
 *
 * A row counts the pieces in stock that have the same keys. `oldest_days` is how long ago the oldest
 * of them took its form. The rows are sorted by the keys; forms in the order of the work.
 */
#ifndef WITHY_STOCK_VIEW_H
#define WITHY_STOCK_VIEW_H

#include <stddef.h>
#include <stdint.h>

struct stock;
struct table;

enum stock_by { STOCK_BY_PLACE, STOCK_BY_FORM, STOCK_BY_TYPE, STOCK_BY_GRADE, STOCK_BY_CLASS, STOCK_BY_LOT, STOCK_KEYS };

extern const char *const stock_by_words[]; /* ended by NULL */

struct stock_ask {
	size_t by[STOCK_KEYS], nby; /* enum stock_by, in the order of the columns */
	int32_t today;              /* the day up to which the stock ran */
};

/* After stock_run(). Initializes the table, which then belongs to the caller. */
void stock_view(const struct stock *s, const struct stock_ask *ask, struct table *t);

#endif
