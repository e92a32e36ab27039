/*
 * driest.h - the pieces that were read under a floor of moisture, the charge that each was in, and where it, or
 * its lot, is now.
 */
#ifndef WITHY_DRIEST_H
#define WITHY_DRIEST_H

#include <stdint.h>

struct house;
struct table;
struct trace;

/*
 * The floor: `under` as it was written, such as "8%", or where it is NULL the low end of the house's ready band (`house`
 * may be NULL). Returns NULL, or what is wrong and what to write.
 */
const char *driest_floor(const struct house *house, const char *under, int64_t *floor);

/*
 * A row for each piece, probe, or batch read at random that was ever read under `floor` (0.0001 %), the driest first;
 * and one for each of their lots. Uses the readings up; see t->readings.error. Initializes the tables.
 */
void driest_view(struct trace *t, int64_t floor, struct table *pieces, struct table *lots);

#endif
