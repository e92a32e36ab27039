/*
 * symbols.h - the words of a book as numbers, and which lists of the house file each is in.
 *
 * The words of the house are taken in first. Lines mostly repeat the words of the lines before, so a
 * slot (a field, say) remembers its last word and most look-ups are one compare.
 */
#ifndef WITHY_SYMBOLS_H
#define WITHY_SYMBOLS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/intern.h"
#include "book/vocab.h"
#include "house/house.h"

struct house;
struct intern;

/* The lists are bits: one for each of enum of_list, and one more. */
#define LIST_OF(of) (1u << (of))
#define LIST_BYPRODUCT (1u << 30)

enum { SYMBOL_SCHEMES = 32 };

/* All facts about a word, in one place; `start` and below are references.h's. */
struct symbol {
	uint32_t lists;    /* the lists of the house file that have this word */
	uint32_t schemes;  /* the grading schemes that have it as a grade: bits symbols_scheme_bit() */
	uint32_t start, use;   /* where it comes in and is named: first of a chain, index + 1 */
	bool doubtful;         /* a line about it is wrong already: nothing more is reported of it */
	bool half_read;        /* a line that cannot be read names it, and may bring it in */
	bool half_probed;      /* that line may be about its probes */
	bool meant;            /* an unknown id may be a slip for it, so a line about it may be missing */
	bool pattern_told;     /* it is not written as the works writes such ids, so it may be a slip for another */
	bool probes_told;      /* something is wrong with its probes already */
	bool doc_judged, licence_judged; /* for the words of doc= and licence= */
};

struct symbols {
	struct intern *ids; /* the stock engine's: one number for a word in both */
	struct symbol *symbol; /* by number; words that only the engine met may lack at the end */
	size_t cap, n;
	const struct house *house;
	uint32_t open;     /* lists that the house file does not have: every word is good */
	uint32_t memo[FIELD_MOST + EVENT_MOST]; /* by slot: its last word */
};

/* The bit of a scheme, by its index in house.schemes; from the 32nd on they share the last. */
static inline uint32_t symbols_scheme_bit(size_t scheme)
{
	return 1u << (scheme < SYMBOL_SCHEMES ? scheme : SYMBOL_SCHEMES - 1);
}

/* `house` may be NULL: then all lists are open but that of the forms. */
void symbols_init(struct symbols *t, struct intern *ids, const struct house *house);
void symbols_release(struct symbols *t);

/* The slot of the subjects of an event. A field's own slot is its id. */
#define SYMBOLS_SUBJECT(event) ((size_t)FIELD_MOST + (size_t)(event)->id)

/* The number of a word; with a slot below FIELD_MOST + EVENT_MOST that remembers it. */
uint32_t symbols_id(struct symbols *t, struct slice word);
uint32_t symbols_id_at(struct symbols *t, size_t slot, struct slice word);

/* Takes in the words that only the engine met: then no look-up of a word of the book moves what symbols_at() gave. */
void symbols_settle(struct symbols *t);

/* What is known of a word; valid until the next word is looked up. */
static inline struct symbol *symbols_at(struct symbols *t, struct slice word)
{
	uint32_t id = symbols_id(t, word);

	return &t->symbol[id];
}

/* Whether a line that cannot be read names the word. */
static inline bool symbols_half_read(const struct symbols *t, struct slice word)
{
	uint32_t id = intern_find(t->ids, word);

	return id < t->n && t->symbol[id].half_read;
}

/* Whether the word is in one of these lists, or such a list is open. */
static inline bool symbols_in(const struct symbols *t, uint32_t id, uint32_t lists)
{
	return ((t->symbol[id].lists | t->open) & lists) != 0;
}

#endif
