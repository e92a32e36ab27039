/*
 * buying_mix.h - what to buy of a type from several sources together, where that is cheaper than from the best single one, or leaves
 * fewer blades over.
 *
 * The search is that of mix.h. Of more than MIX_SOURCES_MOST sources those are in it that alone cost least for the goal. The cheapest mix has
 * sources whose price is known.
 */
#ifndef WITHY_BUYING_MIX_H
#define WITHY_BUYING_MIX_H

#include <stddef.h>

struct buying;
struct plan;

/* The wants and the rows of a type: of each the first, and the one after the last. */
struct buying_type {
	size_t first_want, end_want, first_row, end_row;
};

/* Adds to buying.mix. After the rows of the type. */
void buying_mix_find(struct buying *b, struct plan *p, struct buying_type of);

#endif
