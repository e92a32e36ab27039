/*
 * weigh_wanted.h - which blades in stock would make a bat of a mass that is asked for, and how likely.
 *
 * A blade with a mass of its own has the chance of the predictive t of its line (mass_lines.h). If it can be of several
 * types, it is taken as each in the proportion of the pieces in stock. The others of a kind are only counted: each has the
 * chance of landing.h.
 *
 * Bats are weighed in steps. A mass counts as within the range if it rounds into it.
 */
#ifndef WITHY_WEIGH_WANTED_H
#define WITHY_WEIGH_WANTED_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "weigh/weigh_parts.h"

struct weigh_ask {
	const struct order_item *item; /* what is asked for; a piece must fit one of them */
	size_t nitems;
	int64_t low, high;         /* micrograms, INT64_MIN and INT64_MAX for open ends */
	uint32_t shape;            /* as it is to be made: an id, or 0 */
	double sure;               /* the chance of the range that is shown: 0.9 */
};

struct wanted_piece {
	const struct blank *blank;
	const struct blade_kind *kind; /* of the type that it most likely is; its places */
	enum mass_use use;
	struct prediction at;      /* of that type; NAN where there is no line for it */
	double there;              /* the chance that it is in stock, and as it is asked for */
	double chance;             /* that it lands in the range, if it is; NAN where nothing can be said */
};

/* Pieces of one kind that have no mass of their own. */
struct wanted_lot {
	struct slice name;         /* of the lot */
	const struct blade_kind *kind;
	double pieces;             /* in stock, less those in the list of pieces as far as they are there */
	struct landing landing;    /* of one */
};

struct wanted {
	struct wanted_piece *piece; /* the best first, by `there` times `chance`; without a range by name */
	size_t npieces, pieces_cap;
	struct wanted_lot *lot;    /* the most to be expected first */
	size_t nlots, lots_cap;
	int64_t step;              /* in which bats are weighed, micrograms */
	double low_g, high_g;      /* the range with what rounds into it */
	double expected, lots_expected; /* how many are expected in the range */
	double there, lots_pieces, unknown; /* pieces in both lists; unknown: of these, those without a chance */
};

/* Asks for what an order wants; `wanted` is how many. */
enum weigh_order { WEIGH_ORDER_FOUND, WEIGH_ORDER_UNKNOWN, WEIGH_ORDER_NO_MASS };
enum weigh_order weigh_ask_order(struct weigh_ask *ask, struct weigh_parts *parts, struct slice name, int64_t *wanted);

void weigh_wanted_find(struct wanted *w, struct weigh_parts *parts, const struct weigh_ask *ask);
void weigh_wanted_release(struct wanted *w);

#endif
