/*
 * air_counts.h - the air by place and period, each reading counting alike: counts and exact sums.
 *
 * Lines come in any order and on every core; counts and sums of parts add up to the same bytes. The EMC of a
 * reading is calculated here, and a humidity where the line has a wet bulb in its place.
 *
 * Readings count as they are written. The table has a note of the instruments that are known to be off.
 *
 * Memory: some 500 bytes for each place and period, and 130 KiB a worker.
 */
#ifndef WITHY_AIR_COUNTS_H
#define WITHY_AIR_COUNTS_H

#include <stdbool.h>

#include "air/as_written.h"

struct air_ask;
struct scan_work;
struct table;

struct air_counts {
	const struct air_ask *ask;
	struct groups_plan plan;
	struct groups groups;      /* by the keys of ask->by */
	struct as_written written;
	bool noted;                /* the caller's to set: whether somebody reads the notes, or a state is written */
};

/* `ask` and `counts` must stay where they are until the release. */
void air_counts_init(struct air_counts *counts, const struct air_ask *ask);
void air_counts_release(struct air_counts *counts);

/* What a scan of the lines does to count them in. */
struct scan_work air_counts_work(struct air_counts *counts);

/*
 * Initializes and fills a table, which belongs to the caller: a row for each group. True when some EMC lies
 * outside the published table: then the reader must see AIR_COUNTS_GUESSED, which is a note of the table.
 */
bool air_counts_table(struct air_counts *counts, struct table *t);

#define AIR_COUNTS_GUESSED "Some EMCs lie outside the published table (-1.1 to 132.2 C, 5 to 95 %) and are extrapolated"

#endif
