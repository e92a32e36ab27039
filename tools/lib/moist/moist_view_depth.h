/*
 * moist_view_depth.h - the tables of wy-moist(1) of shell and core, and of before and after planing.
 *
 * Of pieces, so ask->all must not be set; intervals are at ask->sure (gradient.h).
 */
#ifndef WITHY_MOIST_VIEW_DEPTH_H
#define WITHY_MOIST_VIEW_DEPTH_H

#include <stdbool.h>

struct moist_view;
struct table;

/* A row for each depth of a row; ask->by_depth must be set. False when no line gave a depth. */
bool moist_view_depth(const struct moist_view *v, struct table *t);

/* Clefts beside blades; ask->by_form must be set. */
bool moist_view_planing(const struct moist_view *v, struct table *t);

#endif
