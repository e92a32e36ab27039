/*
 * sharing.h - the table of all that shares a tree, a lot, a charge or a handle lot with one thing: where each is.
 */
#ifndef WITHY_SHARING_H
#define WITHY_SHARING_H

#include <stdbool.h>

#include "trace/ties.h"

struct table;
struct trace;

struct sharing_ask {
	bool by[TIE_KINDS];        /* which ties are listed */
};

/*
 * A row for each bat, and for each heap of other pieces, of each tie: the nearest tie first, and of one tie what is in
 * stock, then what was sold, then what was culled. The subject itself is left out. Initializes the table.
 */
void sharing_view(const struct sharing_ask *ask, struct trace *t, const struct ties *ties, struct table *table);

#endif
