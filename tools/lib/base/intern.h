/*
 * intern.h - each id once: a text becomes a small number, the same text the same number.
 *
 * Numbers count from 1 in the order of first meeting, so nothing that is printed may be ordered
 * by them; 0 is "none" and has the empty text. A slice that intern_text() gave stays valid as
 * long as the table, for texts do not move.
 */
#ifndef WITHY_INTERN_H
#define WITHY_INTERN_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/hash_index.h"
#include "base/text.h"

enum { INTERN_RECENT_BITS = 10 };

struct intern {
	struct slice *text;    /* by number */
	uint64_t *word;        /* by number: what decides whether it is the text that is looked for, mostly */
	uint32_t n;            /* how many, number 0 included */
	size_t cap, words_cap;
	struct hash_index index;  /* of the texts */
	uint32_t recent[1 << INTERN_RECENT_BITS]; /* by some bits of the word: the number that was asked for last */
	char *block;            /* of the texts; a full one is kept, and a new one is begun */
	size_t block_n, block_cap;
	char **blocks;
	size_t nblocks, blocks_cap;
};

void intern_init(struct intern *t);
void intern_release(struct intern *t);

/* The number of `s`, given to it now if it has none; 0 for an empty one. */
uint32_t intern_id(struct intern *t, struct slice s);

enum { INTERN_SHORT = 7 };   /* bytes that a word has space for */

static inline uint64_t intern_byte(struct slice s, size_t i)
{
	return (uint64_t)(unsigned char)s.p[i] << 8 * i;
}

static inline uint64_t intern_four(struct slice s, size_t i)
{
	const unsigned char *p = (const unsigned char *)s.p + i;

	return (uint64_t)((uint32_t)p[0] | (uint32_t)p[1] << 8 | (uint32_t)p[2] << 16 | (uint32_t)p[3] << 24) << 8 * i;
}

/* A short text that is not empty as a number: its bytes and how many. */
static inline uint64_t intern_word(struct slice s)
{
	if (s.n < 4)
		return intern_byte(s, 0) | intern_byte(s, s.n / 2) | intern_byte(s, s.n - 1) | (uint64_t)s.n << 56;
	return intern_four(s, 0) | intern_four(s, s.n - 4) | (uint64_t)s.n << 56;
}

/* intern_memo() of any other word. */
uint32_t intern_memo_other(struct intern *t, uint32_t *memo, struct slice s);

/*
 * The same as intern_id(), for a word that is mostly the one that *memo is the number of, or that of the next number, as
 * where ids are counted up; *memo is then set to it. Start a memo as 0.
 */
static inline uint32_t intern_memo(struct intern *t, uint32_t *memo, struct slice s)
{
	if (s.n - 1 < INTERN_SHORT && t->word[*memo] == intern_word(s))
		return *memo;
	return intern_memo_other(t, memo, s);
}

/* Its number, or 0 when it was never met. */
uint32_t intern_find(const struct intern *t, struct slice s);

static inline struct slice intern_text(const struct intern *t, uint32_t id)
{
	return t->text[id];
}

#endif
