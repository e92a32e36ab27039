/*
 * read_days.h - what was read on each day: of each lot of blades or handles the mean, of each numbered piece the last.
 *
 * Readings are corrected (readings.h). Readings in a charge and of clefts are left out: the piece has become another since.
 * So are those of bats. A lot is read by pieces at random, in a place; what was judged of its numbered pieces counts for each
 * piece, and for the lot too, apart.
 */
#ifndef WITHY_READ_DAYS_H
#define WITHY_READ_DAYS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"

struct reading_facts;
struct readings;

struct read_day {
	uint32_t whose;            /* a lot or a piece, of the intern table handed in */
	uint32_t place;            /* likewise; 0 of numbered pieces */
	bool judged;               /* of the lot: by its numbered pieces */
	int32_t day;
	int64_t utc_s;             /* the last of them */
	int64_t sum, n;            /* 0.0001 %; of those on the scale */
	int64_t off, unsure;       /* off the scale; uncorrected, or outside the range that the meter is trusted in */
};

struct read_days {
	struct read_day *row;      /* by whose, then judged last, then by the text of the place, then by day */
	size_t n;
};

/* A zeroed struct is empty. Uses the readings up: see readings->error. */
void read_days_find(struct read_days *d, struct readings *readings, const struct reading_facts *facts, struct intern *ids);
void read_days_release(struct read_days *d);

/* Those of a lot or a piece, *n of them. */
const struct read_day *read_days_of(const struct read_days *d, uint32_t whose, size_t *n);

/*
 * The last day on which it was read, of one day that in the place `at`; of a lot one at random before one of numbered
 * pieces. NULL when it was never read.
 */
const struct read_day *read_days_last(const struct read_days *d, uint32_t whose, uint32_t at);

/* In per cent; NAN when all are off the scale. */
double read_day_mean(const struct read_day *day);

#endif
