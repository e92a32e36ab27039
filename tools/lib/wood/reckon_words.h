/*
 * reckon_words.h - the words of a question, NAME=VALUE, and the way that answers it.
 *
 * Words are taken as they were written; their values are read when the way is known. What is wrong is
 * added to a list of complaints. Nothing is printed here.
 */
#ifndef WITHY_RECKON_WORDS_H
#define WITHY_RECKON_WORDS_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct reckon_input;
struct reckon_rows;
struct reckon_way;

enum { RECKON_WORDS_MOST = 64 };

struct reckon_word {
	struct slice name, text;  /* of the operand, which must outlive the word */
};

struct reckon_words {
	struct reckon_word at[RECKON_WORDS_MOST];
	size_t n;
};

/* Complaints, each ended by a NUL. Where the use itself is wrong (and not a value) the last one says so. */
struct reckon_complaints {
	struct buf text;
	bool misused;
};

/*
 * Takes `n` operands as words of the quantity whose first way is `first`. Returns the way of it that takes all
 * the words and lacks none; NULL where something is wrong with them or lacking.
 */
const struct reckon_way *reckon_words_take(struct reckon_words *words, const struct reckon_way *first, char **operands, size_t n,
	struct reckon_complaints *wrong);

/* Sets the inputs of the way for which there is a word; false where a value cannot be read. */
bool reckon_words_read(const struct reckon_words *words, const struct reckon_way *way, struct reckon_input *in, struct reckon_complaints *wrong);

/* ---- words whose value is @COLUMN, or @COLUMN:UNIT */

bool reckon_words_any_column(const struct reckon_words *words);

/* Gives the words to a filter of the way: columns and constants. False where a constant cannot be read. */
bool reckon_words_bind(const struct reckon_words *words, const struct reckon_way *way, struct reckon_rows *rows, struct reckon_complaints *wrong);

#endif
