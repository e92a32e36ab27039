/*
 * number_text.h - numbers written: in full for machines, rounded for readers; never by the locale.
 *
 * A fixed-point number is an int64 and the number of its digits after the point: 12345 with
 * 2 places is 123.45. A zero never has a minus sign. A real number must be finite.
 */
#ifndef WITHY_NUMBER_TEXT_H
#define WITHY_NUMBER_TEXT_H

#include <stdint.h>

struct buf;

enum { NUMBER_TEXT_MOST_PLACES = 18 };

/* Adds it exactly, with all its places. */
void buf_fixed(struct buf *b, int64_t v, unsigned places);

/* Adds it rounded half to even to `shown` places; with all its own where `shown` is more. */
void buf_fixed_shown(struct buf *b, int64_t v, unsigned places, unsigned shown);

/*
 * Adds it in the fewest significant digits, at most 17, that read back as the same double, which
 * is a number of JSON too: 9.3125, 0.1, 1e-9. From 1e-6 to below 1e21 it is written out.
 */
void buf_real(struct buf *b, double v);

/*
 * Adds it rounded half to even (of its exact value) to `shown` places. From 1e15 on, where a
 * double has no places left, and with more than NUMBER_TEXT_MOST_PLACES, as buf_real().
 */
void buf_real_shown(struct buf *b, double v, unsigned shown);

/* The same, rounded down: 99.998 with 1 place is 99.9. */
void buf_real_down(struct buf *b, double v, unsigned shown);

#endif
