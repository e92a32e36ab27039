/*
 * scan.h - all lines of some files, on every core, in no order.
 *
 * For answers that do not depend on the order of lines. Regular files are cut at line ends into
 * chunks that workers take in turn; each worker has a reader, diagnostics and a state of its own,
 * and nothing is shared but the vocabulary. Pipes, devices and "-" are read by the calling thread
 * alone, one after another, before it helps with the chunks. A packed file is one chunk. When all is read the states are
 * merged by the calling thread. A merge must be associative and commutative and exact, because
 * which worker read which lines is chance; then the same lines give the same bytes whatever the
 * number of workers. The diagnostics come out as if one reader had read the files in turn.
 *
 * Memory: a block (reader.h) and a state a worker, whatever the size of the files.
 */
#ifndef WITHY_SCAN_H
#define WITHY_SCAN_H

#include <stddef.h>
#include <stdint.h>

#include "book/reader.h"

struct diags;
struct reader;
struct vocab;

enum { SCAN_JOBS_MOST = 256 };

/* What a filter does with the lines. Every function gets `arg`. */
struct scan_work {
	void *arg;
	void *(*begin)(void *arg);                   /* a state for one worker; called by that worker */
	void (*lines)(void *state, struct reader *r); /* takes reader_next() until it is NULL; called once a chunk */
	void (*end)(void *arg, void *state);         /* merges the state and frees it; the calling thread's */
};

struct scan {
	const struct vocab *vocab;
	const char *const *path;  /* "-" is standard input; a file's number is its index */
	size_t npaths;
	size_t jobs;              /* workers at most, 1..SCAN_JOBS_MOST; 0: as many as there are cores */
	int64_t chunk;            /* bytes at least that are worth a worker; 0: the usual */
	struct diags *diags;      /* gets the diagnostics, in order; its levels are the workers' */
	uint64_t lines, unread;   /* set: all lines, and those of kind LINE_BAD */
	size_t failed;            /* set: the first path that could not be read */
	int64_t failed_at;        /* set: the bytes of it that were used until then */
};

/* 0, or the error (for reader_error_write()) of path `failed`; then the states are merged nonetheless. */
int scan_run(struct scan *s, const struct scan_work *work);

#endif
