/*
 * mass_pairs.h - the works' own pairs: what a blank weighed, and what the bat that was made of it weighed when it was finished.
 *
 * A pair is left out if the house file says that its blank has no mass of its type, or that no bat has such a mass.
 */
#ifndef WITHY_MASS_PAIRS_H
#define WITHY_MASS_PAIRS_H

#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct blade_stock;
struct blank;
struct blanks;
struct weigh_book;
struct weigh_finished;

/* What distinguishes pairs that may have lines of their own. */
enum mass_key { MASS_BY_TYPE, MASS_BY_CLASS, MASS_BY_SHAPE, MASS_KEYS };

extern const char *const mass_key_words[]; /* "type", "class", "shape", NULL */

struct mass_pair {
	const struct blank *blank;
	const struct weigh_finished *bat;
	uint32_t key[MASS_KEYS];   /* ids, 0 where it is not known */
	double blank_g, finished_g;
};

struct mass_pairs {
	struct mass_pair *row;     /* by the name of the bat */
	size_t n, cap;
	size_t left_out;           /* because a mass cannot be, by the house file: a slip of the pen, say */
};

/* `type` is an id, or 0 for pairs of all types. Blanks and book must last. */
void mass_pairs_find(struct mass_pairs *p, const struct blanks *blanks, const struct weigh_book *book, const struct blade_stock *stock,
	uint32_t type);
void mass_pairs_release(struct mass_pairs *p);

#endif
