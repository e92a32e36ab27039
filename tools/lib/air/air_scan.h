/*
 * air_scan.h - all readings of the air in some files, on every core, into one collection.
 */
#ifndef WITHY_AIR_SCAN_H
#define WITHY_AIR_SCAN_H

struct air_ask;
struct air_book;
struct kiln_stays;
struct scan_work;

struct air_scan {
	const struct air_ask *ask;  /* the places that are asked for */
	struct air_book *into;      /* initialized; its clock and house serve the workers */
	struct kiln_stays *stays;   /* the charges of the kilns, initialized; or NULL */
};

/* What a scan of the lines does. `scan` must stay until it has run; then air_book_settle() is due. */
struct scan_work air_scan_work(struct air_scan *scan);

#endif
