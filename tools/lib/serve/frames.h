/*
 * frames.h - the messages in a stream of bytes: header lines, a blank line, and as many bytes as Content-Length says.
 *
 * A header without a length, or with one that is not a number, gives a message that is FRAME_BROKEN, and reading
 * goes on after it. A message longer than FRAME_LONGEST is passed over, and gives one that is FRAME_LONG.
 */
#ifndef WITHY_FRAMES_H
#define WITHY_FRAMES_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

#include "base/text.h"

#define FRAME_LONGEST ((uint64_t)1 << 30)
enum { FRAME_HEADER_LONGEST = 4096 };

enum frame_kind { FRAME_NONE, FRAME_GOOD, FRAME_BROKEN, FRAME_LONG };

struct frames {
	struct buf bytes;
	size_t at;
	uint64_t skip;         /* bytes of a long message that are still to come */
};

void frames_release(struct frames *t);

/* More of the stream. */
void frames_add(struct frames *t, struct slice bytes);

/* The next message that is there in full; `text` is valid until the next call of either. */
enum frame_kind frames_next(struct frames *t, struct slice *text);

/* Adds a message with its header. */
void frames_write(struct buf *out, struct slice text);

#endif
