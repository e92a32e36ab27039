/*
 * words.h - whether the words of a line are in the house file, and whom and what it names.
 *
 * Driven by the vocabulary: a field's `of` and `label_of` say which list its words belong to, its
 * type and the event's subjects what kind of thing is named. What the house has no list of is taken
 * for good. Ids of the book itself go to references.h.
 */
#ifndef WITHY_WORDS_H
#define WITHY_WORDS_H

#include <stdbool.h>
#include <stdint.h>

#include "book/vocab.h"

struct diags;
struct house;
struct line;
struct references;
struct symbols;

/* A value of a list that was found good: its first and last bytes, and what it is of. */
struct words_good {
	uint64_t first, last, of;
};

enum { WORDS_GOOD = 512 };

struct words {
	struct symbols *symbols;
	struct references *references;
	struct diags *diags;
	const struct house *house;   /* or NULL */
	const struct vocab *vocab;
	uint8_t judged[FIELD_MOST];  /* fields that hold words at all, and of what kind */
	bool plain;                  /* nothing of the value in hand was reported or kept */
	struct words_good good[WORDS_GOOD]; /* by a hash */
	bool blurred;                /* a word of the line in hand was reported that says which pieces are meant */
	int32_t scheme_day;          /* the day in hand, and the schemes in force by it */
	uint32_t scheme_now, scheme_past;
};

/* What the line brings into the book, as a SUBJECT_ bit, or 0. What kinds of thing of the book a field (FIELD_...) names. */
unsigned words_start(const struct line *l);
unsigned words_kinds(int field);

void words_init(struct words *w, const struct vocab *vocab, struct symbols *symbols, struct references *references, struct diags *diags);

/*
 * Judges a good line. True when something was reported that leaves it open which pieces the line means:
 * a form, type, grade or place.
 */
bool words_line(struct words *w, const struct line *l);

/*
 * A line that cannot be read may bring in the ids that it names, so these are not reported as unknown.
 * If the line may move pieces, their stock is doubtful.
 */
void words_doubt(struct words *w, struct slice text);


#endif
