/*
 * meter.h - how a house has the readings of a meter corrected, on a day.
 *
 * The house file names for each meter a rule for the temperature of the wood and, by setting and
 * day, the works' own calibration line (moisture.h says in which order they apply). Without either a
 * reading is "uncorrected" and stays what it is.
 */
#ifndef WITHY_METER_H
#define WITHY_METER_H

#include <stdbool.h>
#include <stdint.h>

#include "house/house.h"
#include "wood/moisture.h"

enum meter_fault {
	METER_OK,
	METER_UNKNOWN,     /* the house has no such meter */
	METER_NO_SETTING,  /* the meter has no such setting */
	METER_NOT_OF_WOOD  /* it does not read the moisture of wood */
};

struct meter_use {
	const struct house_meter *meter;
	const struct house_calibration *line; /* the own line in force, or NULL */
	struct meter_rule rule;
	bool by_temperature;                  /* whether the rule needs the temperature of the wood */
};

/* Sets `use` for the meter `id` ("pin2" or "pin2/cane") on `day`. On a fault it is empty. */
enum meter_fault meter_use_on(const struct house *house, struct slice id, int32_t day, struct meter_use *use);

/*
 * The moisture that a reading means, both in 0.0001 %, rounded half to even; `wood` in 0.0001 C,
 * or HOUSE_NONE where it was not written. False, and the reading itself, when it is uncorrected:
 * there is no rule, or it needs a temperature that is not there.
 */
bool meter_correct(const struct meter_use *use, int64_t reading, int64_t wood, int64_t *mc);

/* Adds the rule in words: "0.9 points per 10 C above 20 C, then 0.4 + 0.95 x reading". */
void meter_use_write(struct buf *out, const struct meter_use *use);

#endif
