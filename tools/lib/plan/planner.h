/*
 * planner.h - how many pieces of which lots to load into the next charges, so that every need is met with the chance that is
 * asked for. Pure: numbers in, numbers out.
 *
 * Needs are handled in their order, which is that of their due days. For each need the charges are tried in their order, and in a
 * charge the lots in theirs (the oldest first): all of a lot that has room, or as many pieces as are just enough. So, with these
 * orders of needs, charges and lots, no piece can be left out.
 *
 * A number of blades is a beta-binomial of each lot's pieces (beta_binomial.h). Those of a charge come together, with the
 * chance that it is in time for the need. First only charges count that can make the need sure enough; a need that is
 * then not met is met late, whichever day that is, else as far as wood and room go.
 */
#ifndef WITHY_PLANNER_H
#define WITHY_PLANNER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "math/beta_binomial.h"

enum planner_end {
	PLANNER_COVERED,           /* nothing has to be loaded for it */
	PLANNER_IN_TIME,
	PLANNER_LATE,
	PLANNER_NO_WOOD,           /* all wood that fits is taken */
	PLANNER_NO_ROOM,           /* there is wood, but no room in these charges */
	PLANNER_UNLIKE             /* there is wood and room, but the wood is too unlike what is in the charge */
};

struct planner_need {
	int64_t demand;            /* blades: of this need and of all before it that may have the same ones; no more than the wood can be, and one */
	double asked;              /* the chance */
	double *in_time, *ever;    /* of the blades under way: masses 0 to `demand`, the last of as many or more */
	/* results: */
	enum planner_end end;
	double chance_before, chance, chance_ever; /* in time without and with the plan; with the plan, whenever it comes */
};

struct planner_lot {
	int64_t n;                 /* pieces that can be loaded */
	double mc_pct;             /* their moisture as last read; NAN where it is not known */
	int64_t taken;             /* result */
};

struct planner_charge {
	int64_t room, taken;       /* pieces; taken: result */
};

struct planner {
	struct planner_need *need;
	struct planner_lot *lot;
	struct planner_charge *charge;
	size_t nneeds, nlots, ncharges;
	const struct beta *odds;   /* by lot, then need: the proportion of its pieces that serve the need; a <= 0: none */
	const double *in_time;     /* by charge, then need: the chance that it is in time */
	double most_apart_pct;     /* of lots in one charge; NAN: no limit */
	int64_t *take;             /* result, by charge, then lot; zeroed by the caller */
};

void planner_run(struct planner *p);

/* Whether more pieces of the lot may go into the charge. */
bool planner_fits(const struct planner *p, size_t charge, size_t lot);

/* Loads n pieces more. */
void planner_take(struct planner *p, size_t charge, size_t lot, int64_t n);

/* The chance of a need with what is taken; `timed`: in time, else whenever. */
double planner_chance(const struct planner *p, size_t need, bool timed);

#endif
