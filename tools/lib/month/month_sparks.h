/*
 * month_sparks.h - small lines for a terminal: the air of each room by day, and the moisture of each charge in a kiln by reading.
 *
 * A line goes from the lowest of its figures to the highest in eighths of a cell; a dot is a day of which nothing is known.
 */
#ifndef WITHY_MONTH_SPARKS_H
#define WITHY_MONTH_SPARKS_H

#include "base/text.h"
#include "dry/dry_view.h"

struct buf;
struct month;
struct table;

/* wy-air --timed --by place,day --place PLACE --from FROM --to TO. Initializes the table, which then belongs to the caller. */
void month_air_by_day(const struct month *m, struct slice place, int32_t from, int32_t to, struct table *t);

/* What is asked of wy-dry about one charge; `charge` must last as long. */
struct dry_ask month_dry_ask(struct month *m, const char *const *charge);

/* Adds a line of text for each room, or charge. */
void month_sparks_air(struct month *m, struct buf *out);
void month_sparks_charges(struct month *m, struct buf *out);

#endif
