/*
 * air_book.h - the readings of the air of places, out of the lines of a book, and the tracks that
 * they make.
 *
 * Lines are taken in any order, by any number of collections that are merged; nothing of the order
 * shows in a track. Each reading stands at its instant by the works' clock: the doubled hour is its
 * second pass unless an offset is typed, a skipped hour is the moment that the clock was set, and a
 * reading without a time stands at noon. Readings of one place at one instant are one point, their
 * mean. A humidity that a wet bulb means is reckoned as wy-reckon(1) does.
 *
 * Instruments: a check (`meter hyg1 true=75.3% read=73.6%`) says how far off an instrument is; the
 * offset true - read holds from the day of the check until the day of the next one of that
 * instrument and unit (of several on one day, their mean). Per cent go to the humidity that the
 * instrument read, degrees to the temperature. A humidity from a wet bulb is left as it is.
 *
 * Memory: 24 bytes a reading, and a track at a time.
 *
 * Needs text.h, vocab_words.h, vocab.h, value.h, stamp.h, diag.h, parse.h, zone.h, intern.h and
 * air_track.h before it.
 */
#ifndef WITHY_AIR_BOOK_H
#define WITHY_AIR_BOOK_H

enum { AIR_WET = 1, AIR_UNTIMED = 2, AIR_SKIPPED = 4, AIR_DOUBLED = 8 };

struct air_reading {
	int64_t utc_s;
	int32_t temp, rh;        /* 0.0001; INT32_MIN for none */
	int32_t day;             /* as written */
	uint32_t meter : 28, flags : 4;
};

struct air_room {
	struct slice id;
	struct air_reading *row;
	size_t n, cap;
};

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

struct air_book {
	const struct zone *zone;
	struct zone_memo memo;
	struct intern ids;       /* places, meters and labels */
	struct air_room *room;   /* after air_book_settle() in the order of their ids */
	size_t nrooms, rooms_cap, last;
	struct air_check *check;
	size_t nchecks, checks_cap;
	struct air_weighing *weighing;
	size_t nweighings, weighings_cap;
};

void air_book_init(struct air_book *b, const struct zone *zone);
void air_book_release(struct air_book *b);

/* Takes a good line in; those of events other than air, meter and weigh are passed over. */
void air_book_take(struct air_book *b, const struct line *l);

/* Adds those of `from`, which is of the same clock; it is good for nothing after but its release. */
void air_book_merge(struct air_book *b, struct air_book *from);

/* Puts all in order; nothing may be taken or merged after. */
void air_book_settle(struct air_book *b);

/* How far off a meter is taken to be on a day, in degrees or per cent; 0 where nothing is known. */
double air_book_offset(const struct air_book *b, uint32_t meter, int quantity, int32_t day);

/* The points of a room, as many as *n; the caller frees them. With `raw` no offset is put in. */
struct air_point *air_book_points(const struct air_book *b, const struct air_room *room, bool raw, size_t *n);

#endif
