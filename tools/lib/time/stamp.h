/*
 * stamp.h - dates and times as they are written in a book.
 *
 * A day is a number (calendar.h), of the years 0001 to 9999. A stamp keeps what was written: no time
 * means "at some moment of that day", no offset means the works' wall clock (zone.h turns that into an
 * instant).
 */
#ifndef WITHY_STAMP_H
#define WITHY_STAMP_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"
#include "time/calendar.h"

enum { STAMP_NO_TIME = -1, STAMP_NO_OFFSET = INT16_MIN };

/* The largest offset from UTC of a time, or of a works' clock, in minutes. No zone has ever had one of 16 hours. */
enum { STAMP_OFFSET_MOST = 18 * 60 };

struct stamp {
	int32_t day;
	int32_t second;   /* of the day, or STAMP_NO_TIME */
	int16_t offset;   /* minutes east of UTC, or STAMP_NO_OFFSET */
};

enum date_fault { DATE_OK, DATE_MALFORMED, DATE_IMPOSSIBLE };

/* Reads exactly `YYYY-MM-DD`. */
enum date_fault date_read(struct slice s, int32_t *day);

/* Why the day does not exist ("April has 30 days"); for DATE_IMPOSSIBLE only. */
void date_why(struct slice s, char *why, size_t size);

/* Reads exactly `HH:MM[:SS][Z|+hh:mm|-hh:mm]` into second and offset; 24:00 is not valid. */
bool time_read(struct slice s, struct stamp *stamp);

/* `YYYY-MM-DD`, and `HH:MM[:SS][offset]` without seconds when they are 0. */
void day_write(struct buf *out, int32_t day);
void time_write(struct buf *out, const struct stamp *stamp);

#endif
