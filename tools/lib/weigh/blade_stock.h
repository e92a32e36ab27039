/*
 * blade_stock.h - the blades that are in stock, by kind: how many, where, and how many have gone of those that ever were.
 *
 * The book counts pieces by lot, type, grade and class, and knows single ones only where a line names them. So a judged
 * piece that no bat was made of is still there with the chance
 *
 *	pieces of its kinds in stock / (pieces that ever were of them - those known by number to have gone).
 */
#ifndef WITHY_BLADE_STOCK_H
#define WITHY_BLADE_STOCK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "stock/stock.h"

struct blank;
struct blanks;
struct order_item;
struct stated;

struct blade_kind {
	uint32_t lot, type, grade, class; /* ids, 0 for none */
	int64_t here, left, named;   /* in stock; gone; of these, those whose number a bat has */
	int64_t changed;             /* went on in stock as another kind: graded again, say */
	size_t place, nplaces;       /* in the list of places, where any are here */
	size_t at;                   /* in the list of kinds that are here, likewise */
};

/* What the blade of a bat was. */
struct blade_made {
	uint32_t type, grade, class;
	bool known;
};

struct blade_stock {
	struct stock *stock;
	struct blade_kind *kind;     /* by lot, and within it by the words; after blade_stock_end() */
	size_t n, cap;
	uint32_t *first;             /* by lot, its first kind; of one lot more than have any */
	size_t nfirst;
	uint32_t *here;              /* the kinds that are in stock, in their order */
	size_t nhere;
	struct hash_index index;     /* before it */
	struct blade_made *made;     /* by bat */
	size_t made_cap;
	uint32_t *place;             /* ids, by name for each kind */
	size_t nplaces, places_cap;
};

void blade_stock_init(struct blade_stock *b, struct stock *stock);
void blade_stock_release(struct blade_stock *b);

/* The stock_sink; its context is the `struct blade_stock`. */
void blade_stock_flow(void *context, const struct stock_flow *flow);

/* After stock_run(). */
void blade_stock_end(struct blade_stock *b, const struct stated *stated);

/* What the blade of that bat was; not `known` where no blade of the book went into it. */
struct blade_made blade_stock_made(const struct blade_stock *b, uint32_t bat);

/* The kinds of a lot; whether any of them is in stock; the kind of pieces, or NULL. */
const struct blade_kind *blade_stock_of(const struct blade_stock *b, uint32_t lot, size_t *n);
bool blade_stock_is_here(const struct blade_stock *b, uint32_t lot);
const struct blade_kind *blade_stock_kind(const struct blade_stock *b, const struct stock_kind *k);

/* Whether the house file lets a blade of that type have that mass; it does where it says nothing. */
bool blade_stock_has_mass_of(const struct blade_stock *b, uint32_t type, double weighed_g);

/*
 * Whether a kind can be of that piece: its lot, its grade and, where both are known, its class; and its mass, where the house
 * file says what masses the type has.
 */
bool blade_stock_can_be(const struct blade_stock *b, const struct blade_kind *k, const struct blank *blank);

/*
 * How many pieces ever were of the kind, without those known by number to have gone. What went on as another kind counts only
 * for a piece whose grade is known: without one, it can be any of its lot.
 */
double blade_kind_ever(const struct blade_kind *k, const struct blank *blank);

/* Sets the blanks' types: of its bat's blade, or else the only one that it can be; 0 where it can be of several. */
void blade_stock_name_types(const struct blade_stock *b, struct blanks *blanks);

#endif
