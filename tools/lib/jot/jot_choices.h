/*
 * jot_choices.h - the words that may be written in a place, and which of them a shortened one means.
 *
 * A word that is typed in full always means itself. Else its beginning is enough if just one choice begins so.
 * Of a choice with a slash, what follows the slash may be typed alone: r1 for store/r1.
 */
#ifndef WITHY_JOT_CHOICES_H
#define WITHY_JOT_CHOICES_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

struct jot_choice {
	struct slice word, help;  /* not owned; help may be empty */
};

struct jot_choices {
	struct jot_choice *at;
	size_t n, cap;
	bool ids;                 /* ids of the book: shortened only where a dot says so (jot_entry.h) */
};

void jot_choices_release(struct jot_choices *c);

/* Adds a word. */
void jot_choices_add(struct jot_choices *c, struct slice word, struct slice help);

/* Puts them in order, each once. */
void jot_choices_sort(struct jot_choices *c);

enum jot_found { JOT_NONE, JOT_ONE, JOT_MANY };

/* Which choice is meant; *word is set where it is one. */
enum jot_found jot_choices_find(const struct jot_choices *c, struct slice typed, struct slice *word);

/* Adds those that may be meant, "a, b or c", twelve at the most and then how many more; all of them for an empty `typed`. */
void jot_choices_list(const struct jot_choices *c, struct slice typed, struct buf *out);

#endif
