/*
 * given.h - the tables that a picture was given: found by their columns, and read cell by cell.
 *
 * A number may be a number or the text of one, as it comes from a file. A date is YYYY-MM-DD, perhaps with a blank
 * and HH:MM or HH:MM:SS.
 */
#ifndef WITHY_GIVEN_H
#define WITHY_GIVEN_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct table;

struct given {
	const struct table *const *tables;
	size_t n;
	const char *kind;          /* the picture's word, for errors */
	struct buf *error;
};

/* The first table that has all of these columns, with blanks between; NULL for none. */
const struct table *given_table(const struct given *g, const char *columns);

/*
 * The same, of a table without which there is no picture. NULL adds the error: which column is missing, and that `command`
 * prints such a table; or that the table has no row.
 */
const struct table *given_need(const struct given *g, const char *columns, const char *command);

/* Adds an error of what the tables have; returns false. */
bool given_nothing(const struct given *g, const char *what);

size_t given_rows(const struct table *t);
bool given_has(const struct table *t, const char *column);

/* NAN for no number, also for one that is not finite. */
double given_number(const struct table *t, size_t row, const char *column);

/* The same, 0 for none. */
double given_count(const struct table *t, size_t row, const char *column);

/* Empty for none; a number has no word. */
struct slice given_word(const struct table *t, size_t row, const char *column);
bool given_is(const struct table *t, size_t row, const char *column, const char *word);

/* Days since 1970 with the part of the day; NAN for none. */
double given_day(const struct table *t, size_t row, const char *column);

/* A list of different words, in the order in which they came. The words belong to the tables. */
struct given_words {
	struct slice *word;
	size_t n, cap;
};

/* The index of the word, added where it is new. */
size_t given_words_at(struct given_words *w, struct slice word);

/* The same, but n for a word that is not there. */
size_t given_words_find(const struct given_words *w, struct slice word);
void given_words_release(struct given_words *w);

#endif
