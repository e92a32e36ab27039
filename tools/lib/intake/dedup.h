/*
 * dedup.h - which readings were read before: a set of <series, instant> with what was read.
 *
 * Takes about 30 bytes a reading, space to grow included. The pair is kept whole, so
 * that no two readings are ever taken for one; only of what was read a 32-bit hash is kept.
 */
#ifndef WITHY_DEDUP_H
#define WITHY_DEDUP_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"

struct dedup {
	uint64_t *key;
	uint32_t *value;
	size_t n, keys_cap, values_cap;
	struct hash_index index;   /* of the keys */
};

enum seen_how { DEDUP_NEW, DEDUP_SAME, DEDUP_UNLIKE };

enum { DEDUP_SERIES_MOST = 65535 };

void dedup_release(struct dedup *s);

/*
 * Adds a reading of `series` (0 to DEDUP_SERIES_MOST - 1) at an instant (seconds since 1970, years
 * 0001 to 9999). DEDUP_UNLIKE: one of another value was there, and stays.
 */
enum seen_how dedup_add(struct dedup *s, uint32_t series, int64_t t_s, uint64_t value_hash);

/* The same without adding. */
enum seen_how dedup_find(const struct dedup *s, uint32_t series, int64_t t_s, uint64_t value_hash);

#endif
