/*
 * thrown.h - chance for a unit test, the same on every machine and with every compiler. Include it once, in the test's only file.
 *
 * A test sets its own seed first, in main(). Throw one die a statement: C does not say which of two in one expression is thrown first.
 *
 *	thrown_seed = 20260302;
 *	n = (int)thrown_below(6) + 1;
 *	share = thrown_share();
 *
 * Knuth's linear congruential generator (MMIX), of which the high bits are used.
 */
#ifndef WITHY_THROWN_H
#define WITHY_THROWN_H

#include <stddef.h>
#include <stdint.h>

static uint64_t thrown_seed;

static inline uint64_t thrown_bits(void)
{
	return thrown_seed = thrown_seed * UINT64_C(6364136223846793005) + UINT64_C(1442695040888963407);
}

/* 0 to n - 1; n below 2^31. */
static inline unsigned thrown_below(size_t n)
{
	return (unsigned)((thrown_bits() >> 33) % n);
}

/* 0 to below 1. */
static inline double thrown_share(void)
{
	return (double)(thrown_bits() >> 11) / 9007199254740992.0;
}

/* A whole number from low to high. */
static inline int64_t thrown_within(int64_t low, int64_t high)
{
	return low + (int64_t)(thrown_share() * (double)(high - low + 1));
}

#endif
