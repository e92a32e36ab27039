/*
 * air_book.h - the readings of the air of places, out of the lines of a book, and the tracks that
 * they make.
 *
 * Lines are taken in any order, by any number of collections that are merged; nothing of the order
 * shows in a track. Each reading is placed at its instant by the works' clock: the doubled hour is its
 * second pass unless an offset is typed, a skipped hour is the moment that the clock was set, and a
 * reading without a time is taken at noon. Readings of one place at one instant are one point, their
 * mean. A humidity that a wet bulb means is reckoned as wy-reckon(1) does.
 *
 * Instruments: a check (`meter hyg1 true=75.3% read=73.6%`) says how far off an instrument is; the
 * offset true - read holds from the day of the check until the day of the next one of that
 * instrument and unit (of several on one day, their mean). Per cent go to the humidity that the
 * instrument read, degrees to the temperature. A humidity from a wet bulb is left as it is.
 *
 * Wood: what a meter found in the pieces of a lot (`probe L061 at=store/r1 mc=...`) is kept with the
 * place, where that is asked for: corrected by the house's rule for the meter (meter.h), and off the
 * scale left out. So are the masses of labelled pieces that are kept in a place to be weighed.
 *
 * Memory: 24 bytes a reading, and 36 a reading of the largest place while its track is in use (60 where
 * it has offsets).
 */
#ifndef WITHY_AIR_BOOK_H
#define WITHY_AIR_BOOK_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "air/series.h"
#include "base/intern.h"
#include "time/stamp.h"
#include "time/zone.h"

struct air_offsets;
struct house;
struct line;

enum { AIR_WET = 1, AIR_UNTIMED = 2, AIR_SKIPPED = 4, AIR_DOUBLED = 8 };

struct air_reading {
	int64_t utc_s;
	int32_t temp, rh;        /* 0.0001; INT32_MIN for none */
	int32_t day;             /* as written */
	uint32_t meter : 28, flags : 4;
};

/* Readings are in blocks, which are cut from large pages: a year of them touches few. */
enum { AIR_BLOCK = 1024 };

struct air_record {
	struct slice id;
	struct air_reading **block, *next, *stop; /* next: the first free of the last block; stop: its end */
	size_t n, nblocks, blocks_cap;
	uint64_t name[2], mask[2]; /* the id as two words; no mask: it is longer */
	size_t after;              /* the place that the reading after the last one of this was of */
	uint32_t meter;            /* of the last reading */
	int64_t last_s;            /* its instant */
	bool mixed;                /* not in the order of time, or many at one moment */
};

static inline struct air_reading *air_row(const struct air_record *record, size_t i)
{
	return &record->block[i / AIR_BLOCK][i % AIR_BLOCK];
}

struct air_check {
	int32_t day;
	uint32_t meter;
	int quantity;            /* AIR_TEMP or AIR_RH */
	int64_t off;             /* 0.0001 */
};

/* A piece kept in a place to be weighed. */
struct air_weighing {
	uint32_t place, label;   /* in `ids` */
	int64_t utc_s, mass;     /* micrograms */
};

/* A moisture found in wood that was in a place. */
struct air_found {
	uint32_t place, lot;     /* in `ids` */
	int64_t utc_s;
	int32_t day, mc;         /* 0.0001 % */
	bool unsure;             /* no rule corrected it, or the meter is not trusted so far out */
};

struct air_book {
	const struct zone *zone;
	const struct house *house; /* NULL: none, or readings of wood are not asked for */
	size_t jobs;             /* the caller's to set: threads at most that put it in order; 0: all cores */
	struct zone_memo memo;
	struct stamp stamp;      /* of the last line of air, with what it is */
	bool stamped;
	unsigned flags;
	int64_t utc_s;
	struct intern ids;       /* places, meters and labels */
	struct air_record *record;   /* after air_book_settle() in the order of their ids */
	size_t nrecords, records_cap, last;
	uint32_t *record_of_id;    /* one more than its index; 0: none */
	size_t ids_cap;
	struct air_reading **pages, *spare; /* what blocks are cut from, and how many are left of the last */
	size_t npages, pages_cap, spares;
	struct air_check *check;
	size_t nchecks, checks_cap;
	struct air_check *check_of; /* after air_book_settle() the same by meter, quantity and day */
	struct air_weighing *weighing;
	size_t nweighings, weighings_cap;
	struct air_found *found;
	size_t nfound, found_cap;
};

/* `house` corrects readings of wood; without one they are not kept. */
void air_book_init(struct air_book *b, const struct zone *zone, const struct house *house);
void air_book_release(struct air_book *b);

/* Takes a good line in; those that say nothing of it are passed over. */
void air_book_take(struct air_book *b, const struct line *l);

/* The same for a line that is known to be of the air. */
void air_book_take_air(struct air_book *b, const struct line *l);

/* Adds those of `from`, which is of the same clock; it is good for nothing after but its release. */
void air_book_merge(struct air_book *b, struct air_book *from);

/* Puts all in order; nothing may be taken or merged after. */
void air_book_settle(struct air_book *b);

/* The quantity that a line checks, and how far off its instrument was, true less read; -1 when it is not a check of one. */
int air_book_check(const struct line *l, int64_t *off);

/* How far off a meter is taken to be on a day, in degrees or per cent; 0 where nothing is known. */
double air_book_offset(const struct air_book *b, uint32_t meter, int quantity, int32_t day);

/* The points of a place. `first` has one more: the rows of point i are first[i] up to first[i + 1]. */
struct air_points {
	struct air_series track;   /* without its limit_s */
	uint32_t *first;
	int64_t *utc_s;           /* what `track` shows, with space for `cap` points */
	double *v[AIR_QUANTITIES], *raw[AIR_QUANTITIES];
	double *store, *raw_store;  /* of all these */
	size_t cap;
	struct air_offsets *offsets; /* by meter: those of the day last asked for */
};

/* What the points are made with: the EMC of each; no offset. */
enum { AIR_WITH_EMC = 1, AIR_AS_READ = 2 };

void air_points_release(struct air_points *p);

/* Fills `p`, which is {0} or was filled before from the same book, with the points of a place. */
void air_book_points(const struct air_book *b, const struct air_record *record, unsigned with, struct air_points *p);

#endif
