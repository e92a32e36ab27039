/*
 * class_odds.h - of which weight class blades of a type and grade are, by those that got a class so far.
 *
 * Counted are the pieces that ever were of a lot, type, grade and class in stock (blade_stock.h). Of a lot whose lines give no
 * class the judged pieces count instead (blanks.h), those of which the class and the grade are known. Blades without a class say
 * nothing.
 *
 * The classes of a type and grade have Dirichlet odds, of which one class is a beta. Its mean is that of the pieces of the type and
 * grade, to which up to CLASS_ODDS_PRIOR pieces of the type's mean are added, to that as many of the works' mean, and to that half a
 * piece for each class (Jeffreys 1946): as in grade_odds.h, but no prior counts for more pieces than it was made of. How
 * lots differ makes it wider (spread.h).
 */
#ifndef WITHY_CLASS_ODDS_H
#define WITHY_CLASS_ODDS_H

#include <stddef.h>
#include <stdint.h>

#include "math/beta_binomial.h"

struct weigh_parts;

enum { CLASS_ODDS_PRIOR = 10 };

/* Pieces of one lot that are alike. */
struct class_seen {
	uint32_t type, grade, class, lot;
	int64_t n;
};

struct class_odds {
	struct class_seen *seen;
	size_t n, cap;
	size_t classes;            /* of the house file, and others that were seen */
};

/* After weigh_parts_fit(). */
void class_odds_find(struct class_odds *o, const struct weigh_parts *parts);
void class_odds_release(struct class_odds *o);

/* How many pieces of a type and grade got a class; STOCK_ANY: of any. */
int64_t class_odds_seen(const struct class_odds *o, uint32_t type, uint32_t grade);

/* The proportion of the class in pieces of so many lots of about the same size. `type` and `grade` may be STOCK_ANY. */
struct beta class_odds_of(const struct class_odds *o, uint32_t type, uint32_t grade, uint32_t class, double lots);

#endif
