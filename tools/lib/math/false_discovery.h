/*
 * false_discovery.h - many comparisons at once: which of them to believe.
 *
 * Of twenty comparisons in which nothing differs, one has p below 5 %. Benjamini and Hochberg's adjusted p of a
 * comparison is the least rate of false discoveries at which it is one: of all that have it at most so high, at most
 * that share is false, to be expected. The comparisons may depend on each other in the usual, positive way.
 *
 * Source: Benjamini and Hochberg (1995), J. R. Statist. Soc. B 57, 289; adjusted as R's p.adjust(p, "BH").
 */
#ifndef WITHY_FALSE_DISCOVERY_H
#define WITHY_FALSE_DISCOVERY_H

#include <stdbool.h>
#include <stddef.h>

/*
 * Which comparisons of counts can show a difference at all. least[i] is the least p that comparison i could have had,
 * however the events had fallen: with two events in all, no group of a hundred bats can differ surely from the rest.
 * Which ones are left out does not depend on the outcome, so the others lose nothing: of K that are kept, each could
 * have had p at most rate / K, and K is the least number for which that holds (Tarone 1990, Biometrics 46, 515; for
 * false discoveries Gilbert 2005, Appl. Statist. 54, 143).
 * Sets kept[i]; returns how many are kept.
 */
size_t false_discovery_keep(const double *least, size_t n, double rate, bool *kept);

/* The adjusted p of each of n comparisons, in their order. All must be numbers from 0 to 1; `adjusted` may be `p`. */
void false_discovery_adjust(const double *p, size_t n, double *adjusted);

#endif
