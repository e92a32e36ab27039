/*
 * carry.h - follows the flows of stock.h and carries the money of the pieces along.
 *
 * The money of the pieces that a line takes is divided over what the line makes of them by their number, by
 * the largest remainder. What culled pieces would have had is a loss; it is carried by those that the line
 * lets go on, else by the rest of their batch, else by what is left of their lot in stock. If nothing is left,
 * it is lost.
 *
 * The first gradings of a lot on one day are one joint product: at the end of the day, or before a line takes
 * some of these blades, the elements that are spread by worth are divided over them again, by the worth of
 * their grades (IAS 2 Inventories, paragraph 14: relative sales value when the products become separately
 * identifiable). If the worth of one of the grades is not known, they are alike. A blade that is graded again keeps its cost.
 *
 * An entry of the book waits until the day on which it can be put on its pieces (spread_out.h).
 */
#ifndef WITHY_CARRY_H
#define WITHY_CARRY_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "cost/money.h"
#include "cost/spread_out.h"

struct provenance;

/* Some blades of a lot that were graded on this day. */
struct graded {
	uint32_t lot, layer;
	uint32_t next;             /* of the lot, the first after the last: index */
	int64_t n, worth;
};

/* What was on the pieces of a flow that lost them: what was spent on them up to then and taken over from others. */
typedef void carry_loss_sink(void *context, const struct stock_flow *flow, int64_t amount);

struct carry {
	struct holdings *h;
	struct spread_out *out;    /* the entries */
	int32_t since, today;      /* the first day that the account counts; the day of the answer */
	int64_t *lost;             /* by element: what nothing carries */
	struct stock_flow *flow;   /* those that wait, from `first` on */
	struct carry_ahead {
		uint64_t from_hash, to_hash;
		uint32_t from, to; /* the last step of holdings_fetch_...() */
	} *ahead;                  /* of each of them */
	size_t first, nflows, flows_cap, ahead_cap;
	const struct stock_flow *line; /* the first of the line that is carried out now */
	int32_t day;               /* of that line */
	bool begun;                /* there was one */
	int64_t *flow_loss;        /* of each of its flows */
	size_t flow_loss_cap;
	carry_loss_sink *lose;     /* NULL, or the caller's: it gets each flow that lost pieces, in their order */
	void *lose_context;
	struct cost_hand hand;
	struct carried *made;      /* what the line made of what it took */
	size_t nmade, made_cap;
	int64_t *made_money;       /* nmoney of each */
	size_t made_money_cap;
	int64_t unweighed;         /* blades of which the worth of a grade was not known, so that they were alike */
	int64_t *loss;             /* nmoney: only those of losses are not 0 */
	bool has_loss;             /* some may be */
	struct graded *graded;
	size_t ngraded, graded_cap;
	uint32_t *last_graded;     /* by lot: index + 1; 0 when there are none that are still to be divided */
	int64_t *graded_money;
	size_t graded_money_cap;
	int64_t *shares, *weights; /* these are used while a line is divided */
	size_t *places;
	size_t shares_cap, weights_cap, places_cap;
	struct money_room room;
};

/* `since` may be INT32_MIN. Both others must last as long. */
void carry_init(struct carry *c, struct holdings *h, struct spread_out *out, int32_t since, int32_t today);
void carry_release(struct carry *c);

/* The stock_sink; its context is the `struct carry`. A line is carried out some lines later. */
void carry_flow(void *context, const struct stock_flow *flow);

/* For who looks at the holdings between: carries out every line but that of the last flow, and what is due before its day. */
void carry_before(struct carry *c);

/* After stock_run(): carries out what is left, up to the day of the answer. */
void carry_end(struct carry *c);

#endif
