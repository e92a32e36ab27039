/*
 * read_wood.h - which moisture readings are of the subject of a trace, and which of its kin: the driest, the
 * wettest and the last of each, by place.
 */
#ifndef WITHY_READ_WOOD_H
#define WITHY_READ_WOOD_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

struct reading;
struct reading_of;
struct readings;
struct ties;
struct trace;

enum read_of { READ_ITSELF, READ_LOT, READ_HANDLES, READ_OFS };

/* Of the thing itself; of pieces of its lots, any of which it may be; of handles of its handle lots. */
extern const char *const read_of_words[];

struct read_end {
	int64_t mc;                /* 0.0001 % */
	int32_t day;
	uint32_t a, b;             /* whose: see reading_source_write() */
	bool at_random;
	uint8_t mark;              /* VALUE_EXACT, _ABOVE or _BELOW */
};

struct read_row {
	enum read_of of;
	uint32_t part, place;      /* names of the readings; 0 where they are not known */
	int64_t n;                 /* readings */
	int32_t first, last;       /* days */
	struct read_end driest, wettest;
	int64_t latest_sum, latest_n; /* of the last day, for its mean; those off the scale are left out */
};

struct read_wood {
	struct read_row *row;      /* itself first, then by the first day */
	size_t n, cap;
};

/* Of the subject with its ties. See t->readings.error. */
void read_wood_find(struct read_wood *r, struct trace *t, const struct ties *ties);
void read_wood_release(struct read_wood *r);

/* Puts a reading among the ends of a row, which begins with n of 0. */
void read_row_add(const struct readings *r, struct read_row *row, const struct reading *reading, const struct reading_of *of);

#endif
