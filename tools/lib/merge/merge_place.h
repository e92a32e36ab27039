/*
 * merge_place.h - the order in which the units of three versions are written before they are sorted.
 *
 * Units of the base keep its order. A new unit comes after the last unit of the base above it in its own
 * version, and so does a unit that the version moved; if both moved it, it is there twice. What both versions have at one place is woven:
 * equal units are one, and of what lies between them the part with the smaller bytes comes first. So the
 * order is the same whichever version is called a.
 */
#ifndef WITHY_MERGE_PLACE_H
#define WITHY_MERGE_PLACE_H

#include <stddef.h>

struct merge_verdicts;

/*
 * Numbers as in merge_sets: units of the base, changed or not, and new ones that are no edit of one unit. Of a
 * number that is there twice, and of twins, the first counts.
 */
struct merge_order {
	size_t *number;
	size_t n, cap;
};

void merge_order_init(struct merge_order *o, const struct merge_verdicts *v);
void merge_order_release(struct merge_order *o);

#endif
