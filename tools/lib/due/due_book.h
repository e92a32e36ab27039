/*
 * due_book.h - one reading of the book and one run of its stock for all that can be due, and the answers of the
 * rooms that judge it, each as the filter of its name gives it.
 *
 * FROM, TODAY: the days of `days`.
 *
 *	orders   wy-stock --orders --on TODAY
 *	charges, reasons    wy-dry --on TODAY
 *	moist    wy-moist --by charge --to TODAY
 *	wood     wy-moist --by place,part --from FROM --to TODAY
 *	air      wy-air --timed --by place --from FROM --to TODAY
 *	spells   wy-air --spells --from FROM --to TODAY
 *	outlook  wy-air --outlook --on TODAY
 */
#ifndef WITHY_DUE_BOOK_H
#define WITHY_DUE_BOOK_H

#include "due/due_filled.h"
#include "due/due_handles.h"
#include "moist/readings.h"
#include "supply/order_fill.h"

struct due_answers {
	struct table orders, charges, reasons, moist, wood, air, spells, outlook;
};

struct due_book {
	const struct house *house; /* or NULL */
	const struct zone *zone;
	struct due_days days;
	struct stock *stock;
	struct order_supply supply; /* the orders, the charges, and what fills the ones from the others */
	struct readings moist, wood;
	struct air_book air;       /* likewise */
	struct due_handles handles;
	struct due_filled filled;
	struct due_lines lines;
	struct due_answers is;     /* after due_book_answer() */
};

/*
 * `stock` is initialized, for the same house, and empty. The caller adds every line up to the day `today` to it.
 * All arguments must last as long as the book.
 */
void due_book_init(struct due_book *b, const struct house *house, const struct zone *zone, struct due_days days, struct stock *stock);
void due_book_release(struct due_book *b);

/* Takes a line of any kind and day in; `utc_s` is the instant of an event. */
void due_book_take(struct due_book *b, const struct line *l, int64_t utc_s);

/* The two halves of that, which two threads may do at the same time: the lines about pieces, charges and moisture, and the others. */
void due_book_take_supply(struct due_book *b, const struct line *l, int64_t utc_s);
void due_book_take_rest(struct due_book *b, const struct line *l);

/* Before stock_run(), which needs only the first half; its sink, whose context is the struct due_book; after it. */
void due_book_begin(struct due_book *b);
void due_book_flow(void *context, const struct stock_flow *f);
void due_book_end(struct due_book *b);

/*
 * When all is taken and the stock is run: fills in the answers, on two cores. The result is 0, or the errno of why readings of moisture
 * could not be held in a temporary file.
 */
int due_book_answer(struct due_book *b);

/* Whether an id is that of a charge; whether a place is a kiln: the house says so, or a charge was loaded there. */
bool due_book_is_charge(const struct due_book *b, struct slice id);
bool due_book_is_kiln(const struct due_book *b, struct slice place);

/* The first row of a table with that word in a column; the number of rows where there is none. */
size_t due_row_of(const struct table *t, const char *column, struct slice key);

/* The instant at which a day is over. */
int64_t due_book_end_of(const struct due_book *b, int32_t day);

#endif
