/*
 * meter.h - what the reading of a moisture meter means, by the house's rule for it on a day.
 *
 * The house file names for each meter a rule for the temperature of the wood and, by setting and
 * day, the works' own calibration line. Without either a reading is "uncorrected" and stays what it is.
 * All filters correct readings by meter_reading_of(); the calculator asks for the formula itself.
 */
#ifndef WITHY_METER_H
#define WITHY_METER_H

#include <stdbool.h>
#include <stdint.h>

#include "house/house.h"

struct item;
struct line;

/* ---- the formula */

/*
 * How a works corrects the readings of one meter. Published rules for temperature differ from
 * 0.9 to 1.6 points per 10 degrees, so none is built in: the caller names one.
 */
struct meter_rule {
	double reference_c;   /* the wood temperature at which it reads true */
	double per10_pct;     /* points it reads high for each 10 degrees above that */
	double line_a, line_b; /* its own calibration, true = a + b reading; 0 and 1 for none */
	double trust_low_pct, trust_high_pct; /* readings outside are of low confidence */
};

/* Resistance readings are of low confidence outside these (EN 13183-2: about 7 to 30 %). */
#define METER_TRUST_LOW_PCT 7.0
#define METER_TRUST_HIGH_PCT 28.0

/* A rule that changes nothing. */
struct meter_rule meter_rule_none(void);

/*
 * The moisture that `reading_pct` means in wood at `wood_c`: first to the reference
 * temperature, then along the calibration line, which is fitted to readings so corrected.
 */
double reading_corrected_pct(const struct meter_rule *rule, double reading_pct, double wood_c);

/*
 * The spread of a resistance meter at its best, in points: handbooks quote 0.3 to 0.5 on one kind of
 * wood, and 2 for a single piece. Readings that differ by less are not alike, they are coarse.
 */
#define METER_SPREAD_PCT 0.3

/* Whether the meter itself is not reliable at this reading (as shown, not corrected). */
bool reading_is_doubtful(const struct meter_rule *rule, double reading_pct);

/* ---- the house's rule */

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
 * or HOUSE_NONE where it was not written. Returns false, and
 * the reading itself, when the reading is not corrected: without a rule, or when the rule needs a
 * temperature that is missing.
 */
bool meter_correct(const struct meter_use *use, int64_t reading, int64_t wood, int64_t *mc);

/* The same for the meter that a line names, on its day; a rule that changes nothing where `house` is NULL or on a fault. */
struct meter_use meter_use_of_line(const struct house *house, const struct line *l);

/* ---- a reading of a line */

struct meter_reading {
	int64_t mc;      /* what it means, in 0.0001 %; the reading itself where it is not corrected */
	bool corrected;  /* meter_correct() */
	bool doubtful;   /* reading_is_doubtful(), as shown and not as corrected */
};

/*
 * One item of a line's `mc`, with the wood temperature of the line. Where the item is an end of the scale
 * (30%+) it is that end which is corrected; an item without a figure (-) is for the caller to leave out.
 */
struct meter_reading meter_reading_of(const struct meter_use *use, const struct line *l, const struct item *item);

/* Adds the rule in words: "0.9 points per 10 C above 20 C, then 0.4 + 0.95 x reading". */
void meter_use_write(struct buf *out, const struct meter_use *use);

#endif
