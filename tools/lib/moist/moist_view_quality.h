/*
 * moist_view_quality.h - the tables of wy-moist(1) of the drying quality, and of a sample after the kiln.
 *
 * Of pieces, so ask->all must not be set; the proportion and the confidence are ask->cover and
 * ask->sure. The sources of the limits and the formulas are in lot_quality.h.
 */
#ifndef WITHY_MOIST_VIEW_QUALITY_H
#define WITHY_MOIST_VIEW_QUALITY_H

#include <stdbool.h>

struct moist_view;
struct table;

/* The pieces of each row against their target, that of ask->target where one is given. */
bool moist_view_quality(const struct moist_view *v, struct table *t);

/* Two tables: how many to read, and the verdict on what was read. row_done() is not called. */
void moist_view_plan(const struct moist_view *v, struct table *plan, struct table *taken);

#endif
