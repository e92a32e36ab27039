/*
 * wide.h - code that is compiled twice: for any processor, and for one with vectors of four doubles.
 *
 *	INLINE void all_of_it(...)              what is done, with all that it calls inlined
 *	static void plainly(...) { all_of_it(...); }
 *	WIDE static void widely(...) { all_of_it(...); }
 *	(has_wide() ? widely : plainly)(...)
 *
 * Both give the same bits: no product is fused with a sum.
 */
#ifndef WITHY_WIDE_H
#define WITHY_WIDE_H

#include <stdbool.h>

#define INLINE static inline __attribute__((always_inline))

#if defined __x86_64__
#define WIDE __attribute__((target("avx2")))
static inline bool has_wide(void)
{
	return __builtin_cpu_supports("avx2");
}
#else
#define WIDE
static inline bool has_wide(void)
{
	return false;
}
#endif

#endif
