/*
 * spool.h - output that is held until all input was read and it is known to be right.
 *
 * Some megabytes, or as much as the caller says, are held in memory. The rest is in a file without a
 * name in $TMPDIR, or else in the system's temporary folder.
 */
#ifndef WITHY_SPOOL_H
#define WITHY_SPOOL_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>
#include <stdio.h>

#include "base/text.h"

enum { SPOOL_HELD = 8 * 1024 * 1024 };

struct spool {
	struct buf held;
	size_t most;    /* bytes to hold in memory; 0: SPOOL_HELD */
	FILE *file;     /* what came before that, or NULL */
	int error;      /* the errno of what failed, or 0 */
	bool reading, ended;
};

#define SPOOL_INIT { .file = NULL }

/* Adds all of `b` and empties it. False when it cannot be held; then s->error says why. */
bool spool_add(struct spool *s, struct buf *b);

/*
 * The next piece of the added output, from its start. It is empty at the end, and when the output
 * cannot be read back; s->error reports that. Valid until the next call.
 */
struct slice spool_next(struct spool *s);

/* Makes the next piece the first one again. */
void spool_again(struct spool *s);

void spool_release(struct spool *s);

/*
 * A walk of its own over all of it, for several threads at once. First spool_settle() is called, once; false when it cannot be
 * read back. A walk over {0} with `spool` set gives its pieces, of up to SPOOL_PIECE bytes where they are out of the file.
 */
enum { SPOOL_PIECE = 64 * 1024 };

struct spool_walk {
	const struct spool *spool;
	char *piece;
	int64_t at;     /* of the next piece; below 0 at the end */
	int error;      /* the errno of what failed, or 0 */
};

bool spool_settle(struct spool *s);
struct slice spool_walk_next(struct spool_walk *w);
void spool_walk_release(struct spool_walk *w);

#endif
