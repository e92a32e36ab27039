/*
 * plan.h - what the next charges should hold, for the orders that are open on a day.
 *
 *	plan_init(&p, &ask, house, zone, &stock);
 *	... plan_add() with every event line up to that day, and the line to the stock ...
 *	plan_begin(&p);
 *	stock_run(&stock, ask.today, plan_flow, &p);
 *	plan_end(&p);                  (p.parts.readings.error)
 *
 * A need is what an order misses of a type and grade (open_orders.h). Pieces that are there are the stock's; blades of
 * charges and of the bench come with the odds of grade_odds.h; and so do those of the wood that is loaded: clefts in a yard
 * that have rested, the oldest first. An order is asked to be met with a chance; of one that misses
 * several sorts the rest of the chance is divided over these (Bonferroni), so that all come together at least as surely.
 *
 * A charge is in time if the kiln is free, and kiln, planing and grading have taken no longer than there is
 * time (charge_times.h). A kiln that holds a charge is free on the day after that is seen to be ready, by the forecast
 * of wy-dry.
 */
#ifndef WITHY_PLAN_H
#define WITHY_PLAN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "plan/charge_times.h"
#include "plan/planner.h"
#include "supply/cover.h"
#include "supply/order_fill.h"
#include "supply/stock_parts.h"

enum { PLAN_DAYS = 500, PLAN_CHARGES_MOST = 8 };

struct plan_ask {
	int32_t today;
	double chance;             /* 0..1 */
	size_t charges;            /* the next ones of each kiln, up to PLAN_CHARGES_MOST */
	const struct house_place *const *kiln;
	size_t nkilns;
};

/* Clefts of one lot, place and type. */
struct plan_lot {
	struct stock_kind kind;
	int64_t n, resting;        /* that may be loaded; that have not rested long enough */
	int32_t since;
	int32_t rested;            /* the day on which the resting ones may be loaded; INT32_MIN: none is resting */
	double mc_pct;             /* NAN: not read */
	int32_t read_day;
};

struct plan_charge {
	const struct house_place *kiln;
	size_t turn;               /* 0: the next charge of its kiln */
	struct slice after;        /* the charge that is still in the kiln; empty: none */
	double *free;              /* the chance that the kiln is free on each of PLAN_DAYS days from today; the rest: later */
	int32_t day, graded;       /* medians: it can be loaded, all of it is graded; INT32_MAX: not known */
};

struct plan {
	const struct plan_ask *ask;
	const struct house *house;
	struct stock *stock;
	struct order_supply supply;
	struct stock_parts parts;
	struct charge_times times;
	struct cover cover;
	struct plan_born {
		int64_t n, lots;
		bool is_counted;   /* by id of a lot: it is among the lots of its source */
	} *born;                   /* by id of a source (grade_odds_source): clefts that came in, and in how many lots */
	size_t born_cap;
	struct plan_gift {
		uint32_t source, type;
	} *gift;                   /* each type of cleft that a source gave, once; 0: of no type */
	size_t gifts_cap, ngifts;
	/* after plan_end(): */
	struct plan_lot *lot;      /* those of planner.lot */
	size_t lots_cap, nlots;
	struct plan_charge *charge; /* those of planner.charge */
	size_t *need;              /* of planner.need: its index in supply.orders.need */
	struct planner planner;
	int64_t *filled;           /* by charge, then lot: of planner.take, those for the usual demand */
};

/* The ask must last. It must not be moved after plan_begin(). */
void plan_init(struct plan *p, const struct plan_ask *ask, const struct house *house, const struct zone *zone, struct stock *stock);
void plan_release(struct plan *p);

/* Takes a good line of an event in, with its instant. */
void plan_add(struct plan *p, const struct line *l, int64_t utc_s);
void plan_begin(struct plan *p);
void plan_flow(void *context, const struct stock_flow *flow); /* the stock_sink */

/* Whether a source gave clefts of that type, or none with a type. What is culled in cleaving has none. */
bool plan_gave(const struct plan *p, uint32_t source, uint32_t type);
void plan_end(struct plan *p);

/* The wood of a lot, for its odds. */
struct grade_odds_wood plan_wood(const struct plan *p, size_t lot);

/* The order's need that planner.need[i] is for. */
const struct order_need *plan_need(const struct plan *p, size_t i);

/* The median day by which the blades for a need are graded, of the last charge that has some; INT32_MAX: not known. */
int32_t plan_need_day(const struct plan *p, size_t i);

#endif
