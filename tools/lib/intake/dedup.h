/*
 * dedup.h - which readings were read before: a set of <series, instant> with what was read.
 *
 * Takes 12 bytes a reading, and up to twice that with room to grow. The pair is kept whole, so
 * that no two readings are ever taken for one; only of what was read a 32-bit hash is kept.
 */
#ifndef WITHY_DEDUP_H
#define WITHY_DEDUP_H

#include <stddef.h>
#include <stdint.h>

struct seen {
	uint64_t *key;
	uint32_t *value;
	size_t n, cap;             /* cap: a power of two, or 0 */
};

enum seen_how { SEEN_NEW, SEEN_SAME, SEEN_UNLIKE };

enum { SEEN_SERIES_MOST = 65535 };

void seen_release(struct seen *s);

/*
 * Adds a reading of `series` (0 to SEEN_SERIES_MOST - 1) at an instant (seconds since 1970, years
 * 0001 to 9999). SEEN_UNLIKE: one of another value was there, and stays.
 */
enum seen_how seen_add(struct seen *s, uint32_t series, int64_t t_s, uint64_t value_hash);

/* The same without adding. */
enum seen_how seen_find(const struct seen *s, uint32_t series, int64_t t_s, uint64_t value_hash);

#endif
