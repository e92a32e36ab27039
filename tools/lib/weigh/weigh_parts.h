/*
 * weigh_parts.h - a book read for all that wy-weigh(1) answers: masses, blades in stock, blanks, pairs, lines and orders.
 *
 * Every good line is handed in once, in any order, and to the stock too. weigh_parts_run() then carries out the stock, and
 * weigh_parts_fit() finds the pairs and their lines.
 */
#ifndef WITHY_WEIGH_PARTS_H
#define WITHY_WEIGH_PARTS_H

#include "stock/orders.h"
#include "weigh/blade_stock.h"
#include "weigh/blanks.h"
#include "weigh/landing.h"
#include "weigh/mass_lines.h"
#include "weigh/scale_correction.h"
#include "weigh/weigh_book.h"

struct weigh_parts {
	struct stock *stock;
	int32_t today;
	struct orders orders;
	struct weigh_book book;
	bool as_weighed;           /* the caller's to set: masses are not corrected */
	struct scale_correction corrected;
	struct blade_stock blades;
	struct blanks blanks;
	uint32_t *left;            /* of these, those that may be in stock: of lots of which there are blades, and not made into bats */
	size_t nleft;
	struct mass_pairs pairs;
	struct mass_lines lines;
	struct landings landings;
};

/* `house` may be NULL; `stock` is initialized for it and empty. Both must last. */
void weigh_parts_init(struct weigh_parts *p, const struct house *house, struct stock *stock, int32_t today);
void weigh_parts_release(struct weigh_parts *p);

/* Takes a good line in; `context` is the `struct weigh_parts`. */
void weigh_parts_take(void *context, const struct line *l);

/* After the last line, once. Where others run the stock, its flows go to blade_stock_flow(), and then comes weigh_parts_end(). */
void weigh_parts_run(struct weigh_parts *p);
void weigh_parts_end(struct weigh_parts *p);

/* Then, once: `issue_pct` as in blanks.h, `type` as in mass_pairs.h. */
void weigh_parts_fit(struct weigh_parts *p, double issue_pct, enum mass_key by, uint32_t type);

#endif
