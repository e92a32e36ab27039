/*
 * landing.h - the chance that a bat lands in a range of masses, if nothing is known of its blade but the type and the class.
 *
 * It is the mean chance of all blanks of that type and class that were ever weighed, each by its line (mass_lines.h). Where
 * they are fewer than MASS_PAIRS_LEAST, it is that of one more bat of the type by the mean and spread of those finished.
 *
 * The mean is known as from so many pieces, with half a piece more for either outcome (Jeffreys 1946). Blanks of one lot
 * resemble each other: the correlation within lots is that of the one-way analysis of variance of their chances (Ridout,
 * Demetrio and Firth 1999; from memory), and 0 with fewer than SPREAD_LOTS_LEAST lots. Where neither blanks nor bats say
 * anything, there are no odds, and all are taken to land.
 */
#ifndef WITHY_LANDING_H
#define WITHY_LANDING_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "math/beta_binomial.h"

struct blank;
struct weigh_ask;
struct weigh_parts;

enum wanted_basis { WANTED_OF_BLANKS, WANTED_OF_BATS, WANTED_UNKNOWN };

extern const char *const wanted_basis_words[]; /* "blanks", "bats", "none" */

struct landing {
	enum wanted_basis basis;
	size_t of;                 /* how many blanks or bats */
	double chance;             /* NAN: too few are known */
	double correlation;        /* of two pieces of a lot */
	double worth;              /* as good as so many pieces that are not of one lot */
};

/* What was asked of one book's masses before, all zero at the start: many orders ask for the same. */
struct landings {
	struct landing_found *row;
	size_t n, cap;
	struct hash_index index;
};

void landings_release(struct landings *l);

/* What the lines distinguish: the type, the class, or the shape that is asked for. `ask` has the shape; where lines are by type it may be NULL, here and below. */
uint32_t landing_key(const struct weigh_parts *parts, const struct weigh_ask *ask, uint32_t type, uint32_t class);

/* The chance that a blank of a kind lands between two masses; NAN where no line serves. */
double landing_of_blank(const struct weigh_parts *parts, const struct weigh_ask *ask, const struct blank *blank, uint32_t type, uint32_t class,
	double low_g, double high_g);

/* `class` of 0: of any class. The masses are ends of what counts as within; either may be infinite. */
struct landing landing_of(const struct weigh_parts *parts, const struct weigh_ask *ask, uint32_t type, uint32_t class, double low_g, double high_g);

/* The same, kept for the next time it is asked, in either way. */
struct landing landing_kept(struct weigh_parts *parts, const struct weigh_ask *ask, uint32_t type, uint32_t class, double low_g, double high_g);

/* The proportion that lands, of pieces of so many lots of about the same size; all (a `b` of 0) where nothing is known. */
struct beta landing_odds(const struct landing *l, double lots);

#endif
