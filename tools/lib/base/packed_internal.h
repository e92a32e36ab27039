/*
 * packed_internal.h - what packed.c needs of a library that unpacks.
 */
#ifndef WITHY_PACKED_INTERNAL_H
#define WITHY_PACKED_INTERNAL_H

#include <stddef.h>

#include "base/packed.h"

/* Bytes to unpack, and where to; a step moves both on. */
struct packed_io {
	const char *in;
	size_t nin;
	char *out;
	size_t nout;
};

enum packed_step {
	PACKED_STEP_ON = 1, /* within a member */
	PACKED_STEP_END     /* a member has just ended; another may follow */
};

struct packed_codec {
	void *(*start)(void);                          /* NULL: no memory */
	int (*step)(void *state, struct packed_io *io); /* enum packed_step, or an error of packed.h */
	void (*end)(void *state);
};

extern const struct packed_codec packed_gzip, packed_zstd;

#endif
