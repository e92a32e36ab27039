/*
 * pair_view_internal.h - private to the files of pair_view.h.
 */
#ifndef WITHY_PAIR_VIEW_INTERNAL_H
#define WITHY_PAIR_VIEW_INTERNAL_H

struct table;

/* A figure exact to 0.0001; absent where it is NAN. */
void pair_view_figure(struct table *t, double v);

#endif
