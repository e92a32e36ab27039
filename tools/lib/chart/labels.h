/*
 * labels.h - boxes that must not lie over one another: where a label may go.
 *
 * A label is placed where it is asked for, or as near above or below that as there is room; else it is refused. So
 * whatever is placed is apart, and inside the bounds. On a grid (the cells of a terminal) boxes begin and end on its lines.
 */
#ifndef WITHY_LABELS_H
#define WITHY_LABELS_H

#include <stdbool.h>
#include <stddef.h>

struct label_box {
	double x, y, w, h;         /* the upper left corner, and the size */
};

struct labels {
	struct label_box *box;
	size_t n, cap;
	double width, height;      /* the bounds; height may be INFINITY until it is known */
	double cell_w, cell_h;     /* of the grid; 0: none */
};

void labels_release(struct labels *l);

/*
 * Finds a place for a box as large as `*want`: there, or up to `slide` px above or below. If it is beyond the bounds sideways, it is
 * moved in. True: `*want` is where it is, and the place is taken.
 */
bool labels_place(struct labels *l, struct label_box *want, double slide);

/* Whether two boxes have more than an edge in common. */
bool labels_overlap(const struct label_box *a, const struct label_box *b);

#endif
