/*
 * intern_compact.h - each text once, in little memory: as intern.h, for what a long book has tens of
 * thousands of.
 *
 * A text takes its bytes and about twenty more (those of intern.h take about fifty, and are found
 * faster). Numbers count from 1 in the order of first meeting, so nothing that is printed may be ordered by them; 0 is "none" and has the empty text.
 * A slice that intern_compact_text() gave stays valid as long as the table, for texts do not move. The
 * bytes may be any, so that a struct without gaps can be kept as one.
 */
#ifndef WITHY_INTERN_COMPACT_H
#define WITHY_INTERN_COMPACT_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "base/text.h"

struct intern_compact {
	char **block;           /* texts, each after its length; a text is never split over two blocks */
	size_t nblocks, blocks_cap;
	size_t block_n, block_cap; /* of the last block */
	uint32_t *at;          /* by number: which block, and where in it */
	uint32_t n;            /* how many, number 0 included */
	size_t cap;
	struct hash_index index; /* of the texts */
};

void intern_compact_init(struct intern_compact *t);
void intern_compact_release(struct intern_compact *t);

/* The number of `s`, given to it now if it has none; 0 for an empty one. */
uint32_t intern_compact_id(struct intern_compact *t, struct slice s);

/* Its number, or 0 when it was never met. */
uint32_t intern_compact_find(const struct intern_compact *t, struct slice s);

struct slice intern_compact_text(const struct intern_compact *t, uint32_t id);

#endif
