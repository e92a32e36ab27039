/*
 * stock_parts.h - what else is known of the pieces in stock, for stock_view.h: how old they are piece by piece, whether they
 * have rested, what they are worth, their last moisture and the air of their place.
 *
 *	stock_parts_init(&p, house, zone, &stock, today, want);
 *	... stock_parts_add() with every event line up to that day, and the line to the stock ...
 *	stock_parts_read(&p);           (p.costing.book.nwrong: no value may be answered)
 *	stock_run(&stock, today, stock_parts_flow, &p);
 *	stock_parts_end(&p);            (p.facts)
 *
 * Ages, places and money are those of the cost module (holdings.h): of pieces that are alike, those that came first leave
 * first. Value is therefore that of wy-cost, to the cent.
 *
 * A piece rests since the day on which it came to its place. The moisture is the mean of the lot's last day of
 * readings: in this place, or in no place that the line names, or in the charge that the pieces were dried in, whichever
 * is the latest. Readings off the scale do not count. The air is the mean EMC of the place in the
 * last PARTS_AIR_DAYS days: where wood that stays there is heading.
 */
#ifndef WITHY_STOCK_PARTS_H
#define WITHY_STOCK_PARTS_H

#include <stddef.h>
#include <stdint.h>

#include "air/air_book.h"
#include "cost/costing.h"
#include "moist/readings.h"
#include "stock/stock_view.h"

struct house;
struct zone;

enum { PARTS_REST = 1, PARTS_VALUE = 2, PARTS_MOISTURE = 4 };

enum { PARTS_AIR_DAYS = 28 };

struct stock_parts {
	const struct house *house; /* or NULL */
	const struct zone *zone;
	struct stock *stock;
	int32_t today;
	unsigned want;
	struct cost_ask cost_ask;
	struct costing costing;
	struct readings readings;  /* of PARTS_MOISTURE; see readings.error */
	struct lot_readings lots;  /* by number of `where` */
	struct intern where;       /* a lot and a place, as bytes */
	struct air_book air;
	int64_t *emc;              /* by place: 0.0001 %; -1 for not known, -2 for not yet asked */
	struct stock_part *part;
	size_t nparts, parts_cap;
	struct slice *band;
	size_t nbands;
	struct buf band_text;
	struct stock_facts facts;
};

/* It must not be moved after. */
void stock_parts_init(struct stock_parts *p, const struct house *house, const struct zone *zone, struct stock *stock, int32_t today, unsigned want);
void stock_parts_release(struct stock_parts *p);

void stock_parts_add(struct stock_parts *p, const struct line *l);
void stock_parts_read(struct stock_parts *p);
void stock_parts_flow(void *context, const struct stock_flow *flow); /* the stock_sink */
void stock_parts_end(struct stock_parts *p);

#endif
