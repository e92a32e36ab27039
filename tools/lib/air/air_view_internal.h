/*
 * air_view_internal.h - what the views of wy-air(1) share; private to air_view*.c.
 *
 * A view goes through the places one after another; view_open() sets the one in hand. The memory of
 * its track serves the next.
 */
#ifndef WITHY_AIR_VIEW_INTERNAL_H
#define WITHY_AIR_VIEW_INTERNAL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "air/air_book.h"
#include "air/air_view.h"
#include "book/value.h"
#include "house/house.h"

struct air_ask;
struct table;
struct total;

/* The unit of each quantity, and its name in a sentence. */
extern const char *const AIR_UNITS[AIR_QUANTITIES], *const AIR_NAMES[AIR_QUANTITIES];

struct view {
	const struct air_ask *ask;
	struct table *t;
	struct zone_memo memo;                /* of wall times */
	int64_t from_s, to_s;                 /* instants between which offset_s holds */
	int32_t offset_s;
	struct buf text;
	struct air_points points;
	struct total *total;                  /* of air_view_gaps() */
	/* the place in hand */
	const struct air_record *in;
	const struct house_place *place;      /* or NULL */
	struct air_series track;
	struct air_band band[AIR_QUANTITIES]; /* the EMC's is the place's target */
};

void view_init(struct view *v, const struct air_ask *ask, struct table *t);
void view_release(struct view *v);

/* Takes a place in hand; `with` as of air_book_points(). */
void view_open(struct view *v, const struct air_record *in, unsigned with);

/* The days and instants of the clock on the wall. Of a midnight that comes twice a day begins with the first. */
int32_t view_day(struct view *v, int64_t utc_s);
int64_t view_start(struct view *v, int32_t day);

/* Whether the wall showed this time twice; *first when this was the first pass. */
bool view_doubled(struct view *v, int64_t utc_s, bool *first);

/* The window that is asked for, in instants. */
void view_window(struct view *v, int64_t *from_s, int64_t *to_s);

/* Cells. */
void view_put_instant(struct view *v, double utc_s);
void view_put_day(struct view *v, int32_t day);

/* Must be called between rows: hands them on when there are many. */
void view_some(const struct air_ask *ask, struct table *t);

/* The moisture that charges are dried to; NAN without. */
double view_kiln_target(const struct air_ask *ask);

/* Notes below the table: the corrections of instruments up to a day, and how long a gap must be. */
void view_note_offsets(struct view *v, int32_t last);
void view_note_gaps(struct view *v);

/* ---- periods: the means of a place by day, month or in all */

struct air_period {
	int32_t day;               /* its first */
	int64_t from_s, to_s, n;   /* n: readings */
	struct air_sum sum[AIR_QUANTITIES];
};

/* The periods from the first reading to the last, or to the end of ask->to; the caller frees them. */
struct air_period *view_periods(struct view *v, int key, size_t *n);
void view_sum_periods(struct view *v, int quantity, struct air_period *period, size_t n);

#endif
