/*
 * value_mend.h - what a number that cannot be read was probably meant to be, for messages.
 */
#ifndef WITHY_VALUE_MEND_H
#define WITHY_VALUE_MEND_H

#include <stdbool.h>

#include "base/text.h"

struct field_use;
struct vocab;

/*
 * Adds the corrected value: a decimal comma becomes a point, a currency sign or code goes after the number,
 * an exponent is multiplied out, a missing unit is added where there is only one. False, and nothing added, where no correction can be read
 * as such a value.
 */
bool value_mend(struct buf *out, const struct vocab *v, const struct field_use *use, struct slice text);

/* Adds a number that is written with an exponent without it: 1000C for 1e3C. False, and nothing added, where it has none. */
bool value_expand(struct buf *out, struct slice text);
/*
 * Adds the list with the unit at every item that lacks one: 9.3%,9.6%,9.1%. False, and nothing added, where
 * an item cannot be read even then.
 */
bool value_mend_units(struct buf *out, const struct field_use *use, struct slice list, struct slice unit);

/*
 * Adds the date that other ways of writing mean: 2026-12-15 for 15-12-2026. Where the day and the month may
 * be either, both dates with "or" between them. False, and nothing added, where it is not a date.
 */
bool value_mend_date(struct buf *out, struct slice text);

/* Adds the time that 9:30, 9.30, 09.30 and 0930 mean: 09:30. False, and nothing added, for any other text. */
bool value_mend_time(struct buf *out, struct slice text);

/*
 * Adds the number with its decimal comma as a point, or its exponent written out, where that is the only way to read it:
 * three digits after a comma could be thousands. False, and nothing added, else.
 */
bool value_mend_surely(struct buf *out, const struct field_use *use, struct slice text);

/* Adds an amount in the works' own currency, such as 240.00NZD or 240JPY. */
void value_sample_money(struct buf *out, const struct vocab *v);

#endif
