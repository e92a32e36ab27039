/*
 * costing.h - what the pieces of a book cost: the money of its lines, carried along with the pieces.
 *
 *	costing_init(&c, &ask, house, &stock);
 *	... costing_add() and provenance_add() with every event line, and the line to the stock ...
 *	costing_read(&c);           (c.book.nwrong: nothing may be answered)
 *	stock_run(&stock, ask.today, costing_flow, &c);
 *	costing_end(&c, &origins);
 *
 * The views of cost_view.h make the tables.
 */
#ifndef WITHY_COSTING_H
#define WITHY_COSTING_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cost/carry.h"
#include "cost/cost_book.h"
#include "stock/provenance.h"

enum cost_by {
	COST_BY_TREE, COST_BY_PARCEL, COST_BY_SUPPLIER, COST_BY_LOT, COST_BY_CHARGE, COST_BY_MONTH, COST_BY_TYPE, COST_BY_GRADE,
	COST_BY_STAGE, COST_BY_FORM, COST_BY_PLACE, COST_KEYS
};

extern const char *const cost_by_words[]; /* ended by NULL */

struct cost_ask {
	size_t by[COST_KEYS], nby; /* enum cost_by, in the order of the columns */
	int32_t today;
	int32_t from, to;          /* blades that were graded on these days; INT32_MIN and INT32_MAX: all */
	int32_t since;             /* the first day of the account; INT32_MIN: all */
	bool mean;                 /* the weighted mean instead of first-in, first-out */
	bool by_sales;             /* the worth of a grade is its mean price, not the house's */
	bool lines;                /* for cost_view_lines() and cost_view_charges(): what each line put on which pieces is kept */
};

struct costing {
	const struct cost_ask *ask;
	const struct stock *stock;
	const struct provenance *origins;
	struct cost_book book;
	struct holdings holdings;
	struct spread_out out;
	struct carry carry;
	int64_t *lost;             /* by element */
	bool ready;                /* costing_read() was called */
};

/* The ask must last. The stock's ids become those of the words. */
void costing_init(struct costing *c, const struct cost_ask *ask, const struct house *house, struct stock *stock);
void costing_release(struct costing *c);
void costing_add(struct costing *c, const struct line *l);
void costing_read(struct costing *c);

/* After costing_read() and before stock_run(): who hears what was on the pieces that are lost (carry.h). */
void costing_tell_losses(struct costing *c, carry_loss_sink *sink, void *context);

/* The stock_sink; its context is the `struct costing`. */
void costing_flow(void *context, const struct stock_flow *flow);
void costing_end(struct costing *c, const struct provenance *origins);

#endif
