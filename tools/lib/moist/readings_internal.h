/*
 * readings_internal.h - private to the files of readings.h.
 */
#ifndef WITHY_READINGS_INTERNAL_H
#define WITHY_READINGS_INTERNAL_H

#include <stdint.h>

#include "book/line.h"
#include "moist/readings.h"
#include "wood/meter.h"

struct reading;
struct reading_frame;
struct readings;

/* The events that have readings; their names are in a state. */
enum reading_event { READ_PROBE, READ_JUDGE, READ_MAKE, READ_OVEN, READ_EVENTS };

enum { IS_CHARGE = 1, IS_HANDLES = 2, IS_BAT = 4 };

/* start: the charge, the probe, its lot, since when. bat: it, its blade, its handle. pool: the parent, the lot. */
enum reading_fact_kind { FACT_START, FACT_BAT, FACT_POOL, FACT_KINDS };

struct reading_fact {
	enum reading_fact_kind what;
	uint32_t a, b, c;
	int64_t utc_s;
};

/* What a meter's readings of a day mean; meter: its name. */
struct readings_meter {
	uint32_t meter;
	int32_t day;
	struct meter_use use;
};

/* In `lots`, numbers are of names and say whether a piece of the lot was judged; else the lot may be a charge, or a bat. */
static inline uint32_t readings_lot_number(uint32_t name, bool judged)
{
	return name << 1 | judged;
}

/* A log whose numbers are of another collection, and what they are here. */
struct readings_part {
	struct spool log;
	uint32_t *name, *frame;
};

uint32_t readings_id(struct readings *r, struct slice text);
uint32_t readings_frame_id(struct readings *r, const struct reading_frame *frame);
void readings_mark(struct readings *r, uint32_t name, int mark);
void readings_sort_facts(struct readings *r); /* by kind, then by what they are of; of probes, then since when */
void readings_add_fact(struct readings *r, struct reading_fact fact);
void readings_note(struct readings *r, const struct reading *row);

#endif
