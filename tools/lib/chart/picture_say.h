/*
 * picture_say.h - the words of findings and labels: days, numbers, lists.
 */
#ifndef WITHY_PICTURE_SAY_H
#define WITHY_PICTURE_SAY_H

#include "base/text.h"

/* "7 Dec", or "7 Dec 2027". Nothing for what is not finite. */
void say_day(struct buf *b, double day);
void say_day_year(struct buf *b, double day);

/* Rounded to so many places: "14.0". "-" for what is not finite. */
void say_number(struct buf *b, double v, unsigned places);

/* In full up to 5 digits, else with a blank between thousands: "216 630". */
void say_whole(struct buf *b, double v);

/* A share of 0 to 1 as a whole per cent, "<1" above none and ">99" below all: "59". */
void say_percent(struct buf *b, double share);

/* "1 piece", "7 pieces". */
void say_count(struct buf *b, double n, const char *thing);

#endif
