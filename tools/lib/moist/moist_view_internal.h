/*
 * moist_view_internal.h - private to the files of moist_view.h.
 */
#ifndef WITHY_MOIST_VIEW_INTERNAL_H
#define WITHY_MOIST_VIEW_INTERNAL_H

#include <stddef.h>

#include "moist/moist_view.h"
#include "table/table.h"

struct moist_view;
struct table;
struct table_column;

/* A table with the keys' columns and then these; the keys of the i-th row. */
void moist_view_start(const struct moist_view *v, struct table *t, const struct table_column *columns, size_t n);
void moist_view_keys(const struct moist_view *v, struct table *t, size_t i);

#define MOIST_VIEW_START(v, t, columns) moist_view_start(v, t, columns, sizeof (columns) / sizeof *(columns))

void moist_view_row_done(const struct moist_view *v, struct table *t);

/* A note: `form` takes the proportion and the confidence, in per cent. */
void moist_view_note_shares(const struct moist_view *v, struct table *t, const char *form);

/* A note for each meter's own line beyond whose pairs readings lie: how far, and what to do. */
void moist_view_note_beyond(const struct moist_view *v, struct table *t);

#define MOIST_AT_RANDOM SLICE("This holds for pieces taken at random; probes chosen by hand, or in one stack, say less.")

#endif
