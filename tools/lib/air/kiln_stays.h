/*
 * kiln_stays.h - when each kiln held a charge, out of the lines that load and empty it.
 *
 * A charge is in its kiln from its first load on until as many pieces have come out as went in: `unload`
 * lines, oven tests and other lines that take pieces of the charge. While some are left it is in. A line
 * without a time counts so that the stay is as long as the day allows. Lines may come in any order.
 */
#ifndef WITHY_KILN_STAYS_H
#define WITHY_KILN_STAYS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"

struct line;

/* What a line does to a charge. */
struct kiln_stay_line {
	uint32_t charge, kiln;     /* in `ids`; kiln 0 where the line does not say */
	int64_t from_s, to_s;      /* the line's moment, or its day when it has no time */
	int64_t in, out;           /* pieces */
};

/* A charge in its kiln; to_s is INT64_MAX while it is in. */
struct kiln_stay {
	uint32_t kiln;
	int64_t from_s, to_s;
};

struct kiln_stays {
	struct intern ids;
	struct kiln_stay_line *line;
	size_t nlines, lines_cap;
	struct kiln_stay *stay;    /* after kiln_stays_settle(): by kiln, then by their starts */
	size_t nstays, stays_cap;
};

void kiln_stays_init(struct kiln_stays *k);
void kiln_stays_release(struct kiln_stays *k);

/* Takes a good line in, which happened at `utc_s`, or within 12 hours of it if it has no time. */
void kiln_stays_take(struct kiln_stays *k, const struct line *l, int64_t utc_s);

/* Adds those of `from`. */
void kiln_stays_merge(struct kiln_stays *k, const struct kiln_stays *from);

/* When all lines are in. */
void kiln_stays_settle(struct kiln_stays *k);

/* The stays of a kiln; *n is 0 where no charge was ever in it. */
const struct kiln_stay *kiln_stays_of(const struct kiln_stays *k, struct slice kiln, size_t *n);

#endif
