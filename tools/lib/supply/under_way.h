/*
 * under_way.h - the wood that is to become graded blades: in charges, and after them at the bench; how many pieces of which
 * type, what they will be graded as (grade_odds.h), and when each charge is ready (the forecast of wy-dry).
 *
 *	under_way_init(&u, house, zone, &stock, today);
 *	... under_way_add() with every event line up to that day, and the line to the stock ...
 *	under_way_begin(&u);
 *	stock_run(&stock, today, under_way_flow, &u);
 *	under_way_settle(&u);
 *	under_way_end(&u);
 *
 * A forecast takes far longer than all the rest, so that it is worked out when under_way_ready() first asks for it.
 */
#ifndef WITHY_UNDER_WAY_H
#define WITHY_UNDER_WAY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "dry/charge_stock.h"
#include "dry/forecast.h"
#include "dry/history.h"
#include "dry/kept_snapshots.h"
#include "grades/grade_odds.h"

struct zone;

/* Pieces of one type, source and charge that are in one step. */
struct under_way_part {
	uint32_t charge;           /* an id of the stock; 0: never in one, at the bench */
	struct grade_odds_wood wood;
	struct slice name[3];      /* of charge, type and source */
	enum grade_odds_step step;
	int64_t n;
};

/* When a charge is ready. A day is INT32_MAX where it is not known, or where there is none within the horizon of the forecast. */
struct under_way_ready {
	uint32_t charge;
	int32_t day, low, high;    /* the median, and the range that holds 90 % of the forecast */
	double never;              /* the proportion of the runs in which it is not ready within the horizon; 0 where there is none */
	bool known;                /* there is a forecast, or it is ready */
	double seen[DRY_HORIZON + 2]; /* the proportion of the runs in which it is seen to be ready, by days from today; the last: not within them */
};

struct under_way {
	struct stock *stock;
	int32_t today;
	struct house *no_house;    /* an empty one, where there is none */
	struct provenance origins;
	struct grade_odds odds;
	struct charges charges;
	struct charge_stock held;
	struct history history;
	struct kept_snapshots kept;
	struct under_way_part *part; /* by charge, type, source and step, in the order of their names */
	size_t nparts, parts_cap;
	struct under_way_ready *ready; /* those that were asked for */
	size_t nready, ready_cap;
};

/* `house` may be NULL. It must not be moved after under_way_begin(). */
void under_way_init(struct under_way *u, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today);
void under_way_release(struct under_way *u);

/* Takes a good line of an event in, with its instant. */
void under_way_add(struct under_way *u, const struct line *l, int64_t utc_s);

void under_way_begin(struct under_way *u);
void under_way_flow(void *context, const struct stock_flow *flow); /* the stock_sink */
void under_way_settle(struct under_way *u); /* the charges, for which the rest need not be there; */
void under_way_end(struct under_way *u);    /* and the rest, for which the charges need not be */

/* Learns from the past charges, if one is open, which takes all cores: the forecasts then need one each. */
void under_way_learn(struct under_way *u);

/* Of a charge that holds pieces the forecast; today for one whose pieces are out, or that is ready. */
struct under_way_ready under_way_ready(struct under_way *u, uint32_t charge);

/* The same of a part, of which those out of the kiln are there. */
struct under_way_ready under_way_part_ready(struct under_way *u, const struct under_way_part *part);

#endif
