/*
 * moist_scan.h - the moisture readings of some files, on every core, into one collection.
 */
#ifndef WITHY_MOIST_SCAN_H
#define WITHY_MOIST_SCAN_H

#include <stdint.h>

struct calibrate;
struct readings;
struct scan_work;

/* Takes either the readings of all days, or the oven tests of some. Both are initialized. */
struct moist_scan {
	struct readings *readings;  /* its house, clock and wants serve the workers */
	struct calibrate *tests;    /* or NULL */
	int32_t from, to;           /* days of the tests, both counted in */
};

/* What a scan of the lines does. `scan` must stay until it has run. See readings->error. */
struct scan_work moist_scan_work(struct moist_scan *scan);

#endif
