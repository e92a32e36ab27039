/*
 * air_view.h - the tables of wy-air(1) that go by time: means, spells, gaps, the outlook of the
 * wood, control charts. Those by reading are in air_counts.h.
 *
 * Each function fills a table that it initializes and that belongs to the caller. Rows go by place,
 * so that the same readings give the same bytes in whatever order they came. When some rows are
 * complete the caller may write them and forget them (table_flush()), so that not all need be held.
 */
#ifndef WITHY_AIR_VIEW_H
#define WITHY_AIR_VIEW_H

#include "air/air_ask.h"
#include "time/calendar.h"

struct air_ask;
struct house;
struct house_place;
struct table;

#define AIR_GAP_USUAL_H 36.0   /* where the house says nothing: a reading a day, half a day late */

/* After how many hours without a reading the air of a place is not known; `house` and `place` may be NULL. */
double air_view_limit_h(const struct house *house, const struct house_place *place);

void air_view_timed(const struct air_ask *ask, struct table *t);
void air_view_spells(const struct air_ask *ask, struct table *t);
void air_view_gaps(const struct air_ask *ask, struct table *t);
void air_view_outlook(const struct air_ask *ask, struct table *t);
void air_view_chart(const struct air_ask *ask, struct table *t);

#endif
