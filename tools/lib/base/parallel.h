/*
 * parallel.h - one piece of work after another, on every core.
 *
 * The pieces may be done in any order and at the same time, so each writes only what is its own. Then the result does not depend on
 * the number of threads. A run that is begun in a piece of another is done by that piece's thread alone: every core has work.
 */
#ifndef WITHY_PARALLEL_H
#define WITHY_PARALLEL_H

#include <stddef.h>

struct parallel {
	void (*work)(void *context, size_t i);
	void (*done)(void *context, size_t n); /* how many are done; called by the calling thread alone; or NULL */
	void *context;
};

/* How many threads `jobs` are: as many as there are cores for 0; at least 1. */
size_t parallel_jobs(size_t jobs);

/* Does the pieces 0 to n - 1. `jobs`: threads at most, the calling one among them; 0: as many as there are cores. */
void parallel_run(const struct parallel *p, size_t n, size_t jobs);

#endif
