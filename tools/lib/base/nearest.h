/*
 * nearest.h - "perhaps": which known word may have been meant by one that is not known.
 *
 * One rule for every list. A known word is near when a few changes turn the unknown word into it,
 * and fewer than it has letters. An unknown word of up to three letters allows one change, of up to
 * eight two, a longer one three. An id (a letter first, a digit in it) whose first letter differs allows
 * that change alone. A word that differs in capitals alone is nearer than any other. Of words that are equally near,
 * the first is taken. A search does not leave out the word itself: do not try it.
 */
#ifndef WITHY_NEAREST_H
#define WITHY_NEAREST_H

#include <stdbool.h>
#include <stddef.h>

#include "base/text.h"

/* A search under way. `best` is empty while no word is near. */
struct nearest {
	struct slice word, best;
	size_t distance;             /* of `best`; without one, above every distance that is near */
};

struct nearest nearest_to(struct slice word);
void nearest_try(struct nearest *n, struct slice known);

/* The nearest of `n` words, or of an array that NULL ends; empty when none is near. */
struct slice nearest_word(struct slice word, const struct slice *known, size_t n);
struct slice nearest_cstr(struct slice word, const char *const *known);

/*
 * Adds what to do about an unknown id: "perhaps BEST? Otherwise check OTHERWISE", or without a near
 * one "check the ID and OTHERWISE".
 */
void nearest_say(struct buf *out, struct slice best, const char *otherwise);

/*
 * Whether `known` is near, and then how far it is (0: by capitals alone): for who decides between words that are equally
 * near. Whether the lengths alone allow it is quick to say.
 */
bool nearest_is_near(struct slice word, struct slice known, size_t *distance);
bool nearest_lengths(struct slice word, struct slice known);

/*
 * How far `word` is from `other`: insertions, deletions, replacements and swaps of neighbours
 * (optimal string alignment), or `most` + 1 as soon as it must be more than `most`. Of words above
 * 64 bytes only equal ones are compared.
 */
size_t nearest_distance(struct slice word, struct slice other, size_t most);

#endif
