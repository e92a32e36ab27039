/*
 * lot_readings.h - the moisture readings of lots by day: the driest up to a day, and the mean of the last day.
 *
 * Readings are corrected (readings.h). Of those off the scale, only a lower bound counts, for the driest. Memory goes with
 * lots and their days, and with how often readings go to and fro between lots.
 */
#ifndef WITHY_LOT_READINGS_H
#define WITHY_LOT_READINGS_H

#include <stddef.h>
#include <stdint.h>

struct lot_day {
	uint32_t lot;              /* an id of the caller's */
	int32_t day;
	int32_t driest;            /* 0.0001 %: of the day, and after lot_readings_end() of all days up to it */
	uint32_t n;                /* how many are on the scale, and their sum */
	int64_t sum;
};

enum { LOT_READINGS_MET = 256 };

struct lot_readings {
	struct lot_day *row;
	size_t nrows, cap;
	uint32_t met[LOT_READINGS_MET]; /* the last row of a lot, by some bits of it */
	uint32_t *first, nlots;    /* after lot_readings_end(): by lot, and one more, the first of its rows */
};

/* A zeroed struct is empty. `below`: the reading is a lower end of the scale. */
void lot_readings_add(struct lot_readings *r, uint32_t lot, int32_t day, int32_t mc, uint32_t n, int below);

/* All of a day that were added up before, as they are in a lot_day before the end. */
void lot_readings_add_day(struct lot_readings *r, uint32_t lot, const struct lot_day *day);

/* After the last one, before anything is asked. */
void lot_readings_end(struct lot_readings *r);
void lot_readings_release(struct lot_readings *r);

/* In per cent; NAN where there is none up to that day. */
double lot_readings_driest(const struct lot_readings *r, uint32_t lot, int32_t day);
double lot_readings_last(const struct lot_readings *r, uint32_t lot, int32_t day);

/* The day that lot_readings_last() is of; INT32_MIN where there is none. */
int32_t lot_readings_last_day(const struct lot_readings *r, uint32_t lot, int32_t day);

#endif
