/*
 * orders.h - what customers want, as the book says on a day.
 *
 * A later `order` line restates the whole order: of those up to the day the last counts (the last
 * by date, then by time with the untimed ones before, then by what it says). What a customer has
 * is told by the flows of `sell for=`; see wy-stock(1).
 *
 * Needs text.h, vocab_words.h, vocab.h, value.h, stamp.h, diag.h, parse.h, intern.h and stock.h
 * before it.
 */
#ifndef WITHY_ORDERS_H
#define WITHY_ORDERS_H

/* One item of an order: so many of a type and grade, STOCK_ANY where it does not say. */
struct order_item {
	uint32_t type, grade;
	int64_t wanted;
	int64_t met;               /* for the caller: what was sold for it */
};

struct order {
	uint32_t id, to;           /* ids of the stock's table; to: 0 when it does not say */
	int32_t form;              /* FORM_...; a bat when the order does not say */
	int32_t due;               /* a day, or INT32_MAX */
	int64_t mass_least, mass_most; /* micrograms; open ends are INT64_MIN and INT64_MAX */
	struct order_item *item;
	size_t nitems;
	struct stamp stamp;        /* of the line that counts */
	struct slice text;         /* that line, for telling two of one stamp apart */
};

struct orders {
	struct order *row;
	size_t n, cap;
};

void orders_init(struct orders *o);
void orders_release(struct orders *o);

/* Takes an `order` line in, if it is not after `last_day`; type and grade words go through stock_what(). */
void orders_add(struct orders *o, struct stock *s, const struct line *l, int32_t last_day);

/* The order of that id, or NULL. */
struct order *orders_find(struct orders *o, uint32_t id);

/* In the order in which they are due, then by their ids. */
void orders_sort(struct orders *o, const struct stock *s);

#endif
