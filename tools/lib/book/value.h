/*
 * value.h - typed values: numbers with their units, exactly.
 *
 * A value is kept as an integer: `fix` counts steps of 10^-places of the type's base unit
 * (vocab_type(type)->places, ->base), rounded half to even where a unit does not divide
 * (degrees Fahrenheit). Moisture and humidity are in 0.0001 %, temperature in 0.0001 C,
 * mass in micrograms, length in 0.0001 mm, spans in 0.0001 h, money in minor units of the
 * currency `unit`, rates in 1e-8. What was written stays in the item's text.
 */
#ifndef WITHY_VALUE_H
#define WITHY_VALUE_H

#include <stdbool.h>
#include <stdint.h>

#include "base/text.h"

enum value_mark {
	VALUE_EXACT,
	VALUE_ABSENT,     /* -   asked for and not had */
	VALUE_ABOVE,      /* 30%+  at least fix, off the scale */
	VALUE_BELOW,      /* 6%-   at most fix */
	VALUE_RANGE       /* fix..high; INT64_MIN / INT64_MAX mean an open end */
};

/* Steps of 0.0001 in a per cent, a degree, a millimetre or an hour. */
enum { VALUE_STEPS = 10000 };

struct value {
	int64_t fix, high;
	uint8_t mark;
	uint8_t unit;     /* UNIT_... as written, or the currency's index */
};

enum value_fault {
	VALUE_OK, VALUE_MALFORMED, VALUE_TOO_LONG, VALUE_OUT_OF_RANGE, VALUE_NO_UNIT, VALUE_BAD_UNIT,
	VALUE_BAD_CURRENCY, VALUE_BAD_PLACES, VALUE_NOT_ABSENT, VALUE_NOT_BEYOND, VALUE_NOT_RANGE,
	VALUE_INVERTED, VALUE_BAD_DATE, VALUE_IMPOSSIBLE_DATE,
	VALUE_BAD_PARTS    /* 4lb17oz, 4.5lb2oz: see value_parts() */
};

/*
 * Adds a mass or a length in two units as it should be written: 5lb1oz for 4lb17oz, 4lb10oz for 4.5lb2oz.
 * False where it is not one.
 */
bool value_parts(struct buf *out, int type, struct slice text);

/* Whether the type is read as a number or a date (and not as an id or a text). */
bool value_is_number(int type);

/*
 * Reads one value of a number type (or a date, whose fix is the day) from the start of
 * [p, end), allowing what `shape` (USE_RANGE, USE_BEYOND, USE_ABSENT) allows. Returns where it
 * stopped: at `end`, or at the first byte that cannot belong to it. On a fault *fault says
 * what and the place returned is where.
 */
const char *value_scan(int type, unsigned shape, const char *p, const char *end, struct value *v, enum value_fault *fault);

/* The same for a whole slice: anything left over is VALUE_MALFORMED. */
enum value_fault value_read(int type, unsigned shape, struct slice s, struct value *v);

/* `fix` in the base unit, or in `unit`, as a double. */
double value_number(int type, int64_t fix);
double value_in(int type, int unit, int64_t fix);

/* What a reading of that unit counts in steps of: "%", "C" or "g". */
struct slice value_reading_base(int unit);

/* A mass for a reader, in the unit in which the works shows it: "1176g"; in pounds or ounces "2lb9.5oz", to tenths. */
void value_write_mass(struct buf *out, int unit, int64_t micrograms);

/* `fix` written with all of its places but no trailing zeros, without the unit. */
void value_write_fix(struct buf *out, int64_t fix, int places);

/* Whether `s` is a range but for a dash in the place of its dots; writes it to `out` as a book has it. */
bool value_undash(struct buf *out, int type, struct slice s);

/* The units of a type as words: "g, kg, lb, oz". */
void value_units(struct buf *out, int type);

/* The same, to follow "write": "one of C, F", or "%" where there is but one. */
void value_units_choice(struct buf *out, int type);

#endif
