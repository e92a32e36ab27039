/*
 * driest.h - the pieces that were read under a floor of moisture, the charge that each was in, and where it, or
 * its lot, is now.
 */
#ifndef WITHY_DRIEST_H
#define WITHY_DRIEST_H

#include <stdint.h>

struct table;
struct trace;

/*
 * A row for each piece, probe, or batch read at random that was ever read under `floor` (0.0001 %), the driest first;
 * and one for each of their lots. Uses the readings up; see t->readings.error. Initializes the tables.
 */
void driest_view(struct trace *t, int64_t floor, struct table *pieces, struct table *lots);

#endif
