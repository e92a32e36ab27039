/*
 * weigh_view_internal.h - cells and words that the tables of wy-weigh have in common.
 */
#ifndef WITHY_WEIGH_VIEW_INTERNAL_H
#define WITHY_WEIGH_VIEW_INTERNAL_H

#include "stock/stock_cells.h"
#include "weigh/weigh_view.h"

enum weigh_of { WEIGH_BLANK, WEIGH_BAT };

/* A mass as the works writes it: "1640g", "2lb9.5oz"; and a difference of masses: "20g", "+0.7oz" with `sign`. */
void weigh_say_mass(const struct weigh_view *v, struct buf *b, enum weigh_of of, double mass_g);
void weigh_say_off(const struct weigh_view *v, struct buf *b, enum weigh_of of, double off_g, bool sign);

/* The same as cells; absent where the figure is NAN. */
void weigh_put_mass(const struct weigh_view *v, struct table *t, enum weigh_of of, double mass_g);
void weigh_put_off(const struct weigh_view *v, struct table *t, enum weigh_of of, double off_g, bool sign);

/* A chance in as many decimals as show it; as a cell, too. */
void weigh_say_p(struct buf *b, double p);
void weigh_put_p(struct table *t, double p);

/* A note of the moisture that blanks are at. */
void weigh_note_moisture(struct table *t, const struct weigh_parts *parts);

/* A note of the masses that are corrected by the drift of a balance, if any are. */
void weigh_note_corrected(struct table *t, const struct weigh_parts *parts);

/* A note that so many of the rows are left out. */
void weigh_note_more(struct table *t, size_t left_out, const char *thing);

#endif
