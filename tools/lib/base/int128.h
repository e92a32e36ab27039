/*
 * int128.h - integers of 128 bits, for exact sums and products. ISO C has none; gcc and clang do.
 */
#ifndef WITHY_INT128_H
#define WITHY_INT128_H

#include <stdint.h>

__extension__ typedef __int128 int128;

/* Totals and wholes of part_floor(). */
#define PART_TOTAL_MOST ((int64_t)1 << 50)
#define PART_WHOLE_MOST ((int64_t)1 << 61)

/*
 * total * part / whole rounded down, and the remainder of it: exact, without a division of 128 bits. For 0 <= total <=
 * PART_TOTAL_MOST, 0 <= part <= whole <= PART_WHOLE_MOST and whole above 0. `rate` is (double)total / (double)whole.
 *
 * Four roundings of 2^-53 each are half a unit of 2^50 at the most. So the quotient in doubles is off by one at the most, and the
 * remainder, below 2^62 either way, shows it.
 */
static inline int64_t part_floor(int64_t total, int64_t part, int64_t whole, double rate, int64_t *rest)
{
	int64_t quotient = (int64_t)(rate * (double)part);
	int64_t left = (int64_t)((uint64_t)total * (uint64_t)part - (uint64_t)quotient * (uint64_t)whole);
	int64_t more = (left >= whole) - (left < 0);

	*rest = left - more * whole;
	return quotient + more;
}

#endif
