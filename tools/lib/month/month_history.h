/*
 * month_history.h - the answers of a month about where its wood is from: what usable blades cost, what suppliers claimed, and
 * which bats came back.
 *
 * They share the reading of the book and the run of the stock with the other answers (month.h). `first` and `last` are the
 * days of the month, `before` is the first day of the twelve months before:
 *
 *	cost           wy-cost --by supplier --from FIRST --to LAST --on LAST
 *	cost_before    wy-cost --by supplier --from BEFORE --to FIRST-1 --on LAST
 *	claims         wy-grade --claims --from BEFORE --to LAST
 *	claims_now     wy-grade --claims --from FIRST --to LAST
 *	bats           wy-returns --bats --on LAST, but moistures are absent
 *	by_handle, by_charge    wy-returns --by handle (charge) --on LAST
 */
#ifndef WITHY_MONTH_HISTORY_H
#define WITHY_MONTH_HISTORY_H

#include <stdint.h>

#include "cost/costing.h"
#include "grades/claims.h"
#include "returns/bat_lives.h"

struct house;
struct zone;

struct month_history {
	const struct house *house; /* or NULL */
	int32_t before, first, last;
	struct cost_ask cost_ask;
	struct costing costing;    /* book.nwrong: a rate is missing, and `cost` has no rows */
	struct claims claims, claims_now; /* empty without a house file */
	struct trace trace;
	struct bat_lives lives;
	struct table cost, cost_before, claimed, claimed_now, bats, by_handle, by_charge; /* after month_history_end() */
};

/* It stays where it is: its parts point to each other. `stock` as in month_init(). */
void month_history_init(struct month_history *h, const struct house *house, const struct zone *zone, int32_t first, int32_t last,
	struct stock *stock);
void month_history_release(struct month_history *h);

/* Takes a good line of `last` or before in. */
void month_history_take(struct month_history *h, const struct line *l);

/* After the last line, before the run of the stock; then each flow; then the answers. */
void month_history_read(struct month_history *h);
void month_history_flow(struct month_history *h, const struct stock_flow *f);
void month_history_end(struct month_history *h, const struct provenance *origins);

#endif
