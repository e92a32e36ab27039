/*
 * orders.h - what customers want, as the book says on a day.
 *
 * A later `order` line restates the whole order: of those up to the day the last counts (the last
 * by date, then by time with the untimed ones before, then by what it says). The
 * flows of `sell for=` give the pieces that a customer has; see wy-stock(1).
 */
#ifndef WITHY_ORDERS_H
#define WITHY_ORDERS_H

#include <stddef.h>
#include <stdint.h>

#include "stock/stock.h"
#include "time/stamp.h"

/* One item of an order: so many of a type, grade and class, STOCK_ANY where it does not say. */
struct order_item {
	uint32_t type, grade, class;
	int64_t wanted;
	int64_t met;               /* for the caller: what was sold for it */
};

struct buf;

struct order {
	uint32_t id, to;           /* ids of the stock's table; to: 0 when it does not say */
	int32_t form;              /* FORM_...; a bat when the order does not say */
	int32_t due;               /* a day, or INT32_MAX */
	int64_t mass_least, mass_most; /* micrograms; open ends are INT64_MIN and INT64_MAX */
	struct order_item *item;
	size_t nitems;
	struct stamp stamp;        /* of the line that counts */
	struct slice text;         /* that line, to distinguish two of one stamp */
};

struct orders {
	struct order *row;
	size_t n, cap;
	uint32_t *at;              /* by id: its row + 1, or 0 */
	size_t at_cap;
};

void orders_init(struct orders *o);
void orders_release(struct orders *o);

/* Takes an `order` line in, if it is not after `last_day`; the words of its items go through stock_what(). */
void orders_add(struct orders *o, struct stock *s, const struct line *l, int32_t last_day);

/* The order of that id, or NULL. */
struct order *orders_find(struct orders *o, uint32_t id);

/* In the order in which they are due, those without a day last, then by their ids. */
void orders_sort(struct orders *o, const struct stock *s);

/* ---- against the stock */

/* Whether the mass of its bats matters. */
bool order_has_mass(const struct order *o);

/* "2lb8oz..2lb12oz", "1200g.." or nothing: the mass of its bats, as the works writes masses. */
void order_say_mass(const struct order *o, const struct stock *s, struct buf *out);

/* Counts what was sold for the order to its first item that fits and is not yet met, else to the first that fits. */
void order_meet(struct order *o, const struct stock_kind *kind, int64_t n);

/* Pieces that are alike, to be given to orders. */
struct order_piece {
	struct stock_kind kind;
	int64_t n;                 /* what is left of them */
	int64_t mass;              /* of a bat: micrograms, 0 when it was not weighed */
	struct slice lot, type, grade, place; /* what they are given by, see orders_queue() */
	int rank;                  /* the grade's place in the house's order */
	int64_t there;             /* how many there were; for the caller */
};

/*
 * Puts pieces in the order in which they are given: bats, handles, blades, clefts; the last grade
 * first, so that who asks for any grade does not get what others ask for by name; then by type,
 * lot, place.
 */
void orders_queue(struct order_piece *piece, size_t n);

/* Where in a queue those of a form begin; where there are none, those that are given after them. */
size_t orders_first_of(const struct order_piece *piece, size_t n, int32_t form);

/* What a piece can be for an order. */
enum order_use {
	ORDER_NO_USE,
	ORDER_TO_MAKE,             /* a graded blade for a bat; a bat not yet weighed, when the mass matters */
	ORDER_AS_IT_IS             /* of the form, type, grade, class and mass; blades graded */
};

enum order_use order_use(const struct order *o, const struct order_item *item, const struct order_piece *piece);

/* Takes up to `want` pieces of that use out of the queue piece[0..n), the first first; returns how many. */
int64_t order_take(const struct order *o, const struct order_item *item, enum order_use use, struct order_piece *piece, size_t n,
	int64_t want);

#endif
