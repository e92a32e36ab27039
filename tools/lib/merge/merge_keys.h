/*
 * merge_keys.h - units sorted by the hash of some words of theirs, so that those with the same words are
 * next to each other.
 *
 *	while (merge_run_next(&keys, MERGE_OF_BASE, &run))
 *		(rows run.from to run.middle are of the base, run.middle to run.to of others)
 *
 * Two words whose hashes are alike by chance only make a merge ask where it need not.
 */
#ifndef WITHY_MERGE_KEYS_H
#define WITHY_MERGE_KEYS_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

enum { MERGE_OF_BASE, MERGE_OF_A, MERGE_OF_B };

struct merge_key {
	uint64_t key;
	unsigned of;      /* of which book it is */
	size_t unit;
};

struct merge_keys {
	struct merge_key *row;  /* freed by the caller */
	size_t n, cap;
};

void merge_key_add(struct merge_keys *k, uint64_t key, unsigned of, size_t unit);

/* By key, then book, then unit. */
void merge_keys_sort(struct merge_keys *k);

struct merge_run {
	size_t from, middle, to;
};

/*
 * The next run of rows that share a key, of which some are of the book `first` and some of a later one; `run`
 * is all zero before the first call. False at the end.
 */
bool merge_run_next(const struct merge_keys *k, unsigned first, struct merge_run *run);

/* The hash of what `key` is of, and of `words` after it. */
uint64_t merge_words(uint64_t key, struct slice words);

#endif
