/*
 * own_vocab.h - the works' own events and fields, added to the vocabulary, and its words for examples.
 *
 * They come from `fields:` and `events:` of the house file and are read, typed and checked by the
 * same machinery as the built-in ones; they have no effect on stock.
 */
#ifndef WITHY_OWN_VOCAB_H
#define WITHY_OWN_VOCAB_H

#include <stdbool.h>

struct house;
struct vocab;

/*
 * Adds them. What is added lives until own_vocab_release(), or as long as the process. False when there are more than the
 * vocabulary has space for.
 */
bool own_vocab_words(struct vocab *v, const struct house *house);

/* For a program that reads a house file again: frees what was added. `v` is then to be initialized again. */
void own_vocab_release(struct vocab *v);

#endif
