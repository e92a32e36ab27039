/*
 * air_view.h - the tables of wy-air(1) that go by time: means, spells, gaps, where the wood is
 * heading, control charts.
 *
 * Each function fills a table that it initializes and that belongs to the caller. Rows go by place,
 * so that the same readings give the same bytes in whatever order they came. When some rows are
 * complete the caller may write them and forget them (table_flush()), so that not all need be held.
 */
#ifndef WITHY_AIR_VIEW_H
#define WITHY_AIR_VIEW_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "air/series.h"

struct air_book;
struct house;
struct table;

#define AIR_GAP_USUAL_H 36.0   /* where the house says nothing: a reading a day, half a day late */
#define AIR_LAG_USUAL_H 504.0  /* 21 days; assumed, not measured */

enum { AIR_BY_PLACE, AIR_BY_MONTH, AIR_BY_DAY };

struct air_ask {
	const struct air_book *book;   /* settled */
	const struct house *house;     /* or NULL */
	bool wants[AIR_QUANTITIES];
	const size_t *by;              /* AIR_BY_... */
	size_t nby;
	int32_t from, to;              /* days, both counted in; INT32_MIN and INT32_MAX for all */
	bool raw;                      /* without the instruments' offsets */
	int32_t as_of;                 /* of air_view_heading() */
	int32_t base_from, base_to;    /* of air_view_chart() */
	void (*some)(struct table *t); /* called now and then, between rows; or NULL */
};

void air_view_timed(const struct air_ask *ask, struct table *t);
void air_view_spells(const struct air_ask *ask, struct table *t);
void air_view_gaps(const struct air_ask *ask, struct table *t);
void air_view_heading(const struct air_ask *ask, struct table *t);
void air_view_chart(const struct air_ask *ask, struct table *t);

#endif
