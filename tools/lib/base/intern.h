/*
 * intern.h - each id once: a text becomes a small number, the same text the same number.
 *
 * Numbers count from 1 in the order of first meeting, so nothing that is printed may be ordered
 * by them; 0 is "none" and has the empty text. A slice that intern_text() gave stays valid as
 * long as the table, for texts do not move.
 */
#ifndef WITHY_INTERN_H
#define WITHY_INTERN_H

#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "base/text.h"

struct intern {
	struct slice *text;    /* by number */
	uint64_t *word;        /* by number: what decides whether it is the text that is looked for, mostly */
	uint32_t n;            /* how many, number 0 included */
	size_t cap, words_cap;
	struct hash_index index;  /* of the texts */
	char *block;            /* of the texts; a full one is kept, and a new one is begun */
	size_t block_n, block_cap;
	char **blocks;
	size_t nblocks, blocks_cap;
};

void intern_init(struct intern *t);
void intern_release(struct intern *t);

/* The number of `s`, given to it now if it has none; 0 for an empty one. */
uint32_t intern_id(struct intern *t, struct slice s);

/*
 * The same, for a word that is mostly the one that *memo is the number of, or that of the next number, as
 * where ids are counted up; *memo is then set to it. Start a memo as 0.
 */
static inline uint32_t intern_memo(struct intern *t, uint32_t *memo, struct slice s)
{
	if (slice_eq(t->text[*memo], s))
		return *memo;
	if (*memo + 1 < t->n && slice_eq(t->text[*memo + 1], s))
		return ++*memo;
	return *memo = intern_id(t, s);
}

/* Its number, or 0 when it was never met. */
uint32_t intern_find(const struct intern *t, struct slice s);

static inline struct slice intern_text(const struct intern *t, uint32_t id)
{
	return t->text[id];
}

#endif
