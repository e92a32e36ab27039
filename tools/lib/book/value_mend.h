/*
 * value_mend.h - what a number that cannot be read was probably meant to be, for messages.
 */
#ifndef WITHY_VALUE_MEND_H
#define WITHY_VALUE_MEND_H

#include <stdbool.h>

struct buf;
struct field_use;
struct slice;
struct vocab;

/*
 * Adds the corrected value: a decimal comma becomes a point, a currency sign or code goes after the number,
 * an exponent is multiplied out, a missing unit is added where there is only one. False, and nothing added, where no correction can be read
 * as such a value.
 */
bool value_mend(struct buf *out, const struct vocab *v, const struct field_use *use, struct slice text);

/* Adds a number that is written with an exponent without it: 1000C for 1e3C. False, and nothing added, where it has none. */
bool value_expand(struct buf *out, struct slice text);

/* Adds an amount in the works' own currency, such as 240.00NZD or 240JPY. */
void value_sample_money(struct buf *out, const struct vocab *v);

#endif
