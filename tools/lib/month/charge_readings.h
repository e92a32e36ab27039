/*
 * charge_readings.h - the readings of a charge as a table: a row a day, a column a probe, one for the oven, and one for pieces taken at random.
 */
#ifndef WITHY_CHARGE_READINGS_H
#define WITHY_CHARGE_READINGS_H

#include <stddef.h>

struct table;

/*
 * Of `curve`, which is wy-dry --curve of one charge: the last `most` days with a reading, the oldest first, and the last reading of each probe on each;
 * corrected moisture content. Initializes the table, which then belongs to the caller. A reading off the meter's scale is "over 30.0" or
 * "under 6.0".
 */
void charge_readings(const struct table *curve, size_t most, struct table *t);

#endif
