/*
 * sales.h - orders and money: what is sold or issued for an order, and prices in currencies
 * that no rate turns into the works' own.
 *
 * An order's last line on or before a day says what it is on that day, so all is judged at the end.
 */
#ifndef WITHY_SALES_H
#define WITHY_SALES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/spill_sort.h"
#include "check/occurrence.h"

struct bat_mass;
struct order_line;
struct symbols;

struct sales {
	struct symbols *symbols;
	struct diags *diags;
	struct order_line *order;    /* every order line */
	size_t norders, orders_cap;
	struct spill_sort uses;      /* of every line with for= what it says, by the order */
	struct bat_mass *bat;        /* every finish with a mass */
	size_t nbats, bats_cap;
	int currency;                /* the works' own, or -1 */
	struct currency_days {
		int32_t first_rate;  /* INT32_MAX: none */
		bool priced;
		struct occurrence first_price;
	} money[256];
};

void sales_init(struct sales *s, struct symbols *symbols, struct diags *diags);
void sales_release(struct sales *s);

/* Judges a good line by itself: the days of over=, a claim that does not add up. False where it is not certain how many pieces came in. */
bool sales_line(struct sales *s, const struct line *l);

/*
 * Keeps what is judged when all is read. sales_end() judges it; beside it another thread may use the symbols, if they are settled
 * and no word comes in. sales_size(): how many lines of orders and finished masses are kept.
 */
void sales_keep(struct sales *s, const struct line *l);
size_t sales_size(const struct sales *s);
void sales_end(struct sales *s);

#endif
