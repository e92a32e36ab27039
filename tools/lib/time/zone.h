/*
 * zone.h - the clock on the wall: a zone of the system's time-zone database, or a fixed offset.
 *
 * Two kinds of second are counted here, both from 1970-01-01 00:00:00 and without leap seconds:
 * - `utc_s`, an instant;
 * - `wall_s`, what the wall clock shows, counted as if its days all had 24 hours
 *   (day number * 86400 + seconds of the day).
 *
 * A `struct zone` is never written after zone_load(), so any number of threads may share one. A
 * `struct zone_memo` belongs to one caller (one thread) and remembers the stretch of wall time
 * that was asked for last: a reading near the last one costs two compares. A memo serves one
 * zone; {0} is an empty memo.
 *
 * Source of the file format: RFC 9636 (TZif, versions 1 to 4), read strictly; the rule that a
 * file ends with is POSIX's TZ form with RFC 9636's longer hours. Neither TZ nor TZDIR of the
 * environment is looked at. Files that count leap seconds (`right/...`) are refused.
 */
#ifndef WITHY_ZONE_H
#define WITHY_ZONE_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

struct stamp;
struct zone;

struct zone_error {
	char text[200]; /* what is wrong and how to correct it */
};

/*
 * The instants of a wall time. The book's rule: ZONE_TWICE means its second pass,
 * `utc_s[1]`, unless an offset is typed; ZONE_NEVER is an error.
 */
enum zone_kind {
	ZONE_ONCE,  /* the ordinary case: utc_s[0] == utc_s[1] */
	ZONE_TWICE, /* the clock was set back: utc_s[0] is the first pass, utc_s[1] the second */
	ZONE_NEVER, /* the clock was set forward over it: with the offset before, and after */
};

struct zone_wall {
	enum zone_kind kind;
	int64_t utc_s[2];
	int32_t offset_s[2]; /* east of Greenwich, of each */
	int64_t change_s;    /* the instant (UTC) the clock was set at; 0 for ZONE_ONCE */
};

struct zone_memo {
	int64_t from_s, to_s; /* wall seconds; offset_s holds in [from_s, to_s), and once only */
	int32_t offset_s;
};

/*
 * A zone by name: `Pacific/Auckland`; or a fixed offset: `Z`, `+12:00`, `-03:30`, `+1200`.
 * NULL on error, with *error filled. A name has no `.` or `..` between slashes, does not begin
 * with `/`, and is not one that differs from machine to machine (`localtime`, `posixrules`).
 */
struct zone *zone_load(struct slice name, struct zone_error *error);

/* The same from the bytes of a TZif file. `name` only serves the error's text. */
struct zone *zone_read(struct slice name, struct slice bytes, struct zone_error *error);

/* A fixed offset, east positive, of less than 24 hours. */
struct zone *zone_fixed(int32_t offset_s);

void zone_free(struct zone *z);

/* `+12:00`, `-0330`, `+12`, `Z`: the offset of a fixed one. False if `text` is none. */
bool zone_offset_parse(struct slice text, int32_t *offset_s);

/* Whether every wall time of the zone happens exactly once. */
bool zone_is_fixed(const struct zone *z);

/* The offset in force at an instant; wall_s = utc_s + offset. */
int32_t zone_offset(const struct zone *z, int64_t utc_s);

/*
 * The next instant after `utc_s` at which the offset changes; INT64_MAX when none comes.
 * `*shift_s` (may be NULL) is how far the wall clock is set forward there, negative for back.
 */
int64_t zone_next_change(const struct zone *z, int64_t utc_s, int32_t *shift_s);

/* What zone_wall() does when the memo does not know. */
struct zone_wall zone_wall_find(const struct zone *z, struct zone_memo *memo, int64_t wall_s);

/* The instants at which the wall clock shows `wall_s`. */
static inline struct zone_wall zone_wall(const struct zone *z, struct zone_memo *memo, int64_t wall_s)
{
	if (wall_s >= memo->from_s && wall_s < memo->to_s) {
		int64_t utc_s = wall_s - memo->offset_s;

		return (struct zone_wall){ ZONE_ONCE, { utc_s, utc_s },
			{ memo->offset_s, memo->offset_s }, 0 };
	}
	return zone_wall_find(z, memo, wall_s);
}

/*
 * The instant of a stamp (stamp.h) by the book's rule: with an offset typed that one, else by the wall
 * clock, the second pass of an hour that comes twice; of an hour that never comes the moment at which the
 * clock was set. A missing time counts as noon. *kind is ZONE_ONCE where the offset is typed.
 */
int64_t zone_stamp(const struct zone *z, struct zone_memo *memo, const struct stamp *stamp, enum zone_kind *kind);

/* The instant at which a day is over. */
int64_t zone_day_end(const struct zone *z, int32_t day);

#endif
