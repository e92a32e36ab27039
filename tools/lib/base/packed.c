#include "base/packed.h"

#include <errno.h>
#include <stdlib.h>
#include <unistd.h>

#include "base/packed_internal.h"

enum { INPUT = 64 * 1024 };

struct packed {
	const struct packed_codec *codec;
	enum packed_kind kind;
	void *state;
	int fd, error;
	bool between, ended;   /* between: no member is begun; ended: the file's bytes are all read */
	int64_t read;          /* bytes of the file, those in the buffer included */
	size_t at, n, cap;     /* what is left of the buffer, and its size */
	char *input;
};

static const char GZIP_MAGIC[] = "\x1f\x8b", ZSTD_MAGIC[] = "\x28\xb5\x2f\xfd", SKIPPED_MAGIC[] = "\x2a\x4d\x18";

enum { SKIPPED_FIRST = 0x50, SKIPPED_LAST = 0x5f }; /* of a zstd frame that holds no data, with SKIPPED_MAGIC */

bool packed_may_start(unsigned char first)
{
	return first == (unsigned char)GZIP_MAGIC[0] || first == (unsigned char)ZSTD_MAGIC[0]
		|| (first >= SKIPPED_FIRST && first <= SKIPPED_LAST);
}

enum packed_kind packed_kind(struct slice start)
{
	unsigned char first = start.n ? (unsigned char)start.p[0] : 0;

	if (slice_starts(start, slice_of(GZIP_MAGIC)))
		return PACKED_GZIP;
	if (slice_starts(start, slice_of(ZSTD_MAGIC)))
		return PACKED_ZSTD;
	if (first >= SKIPPED_FIRST && first <= SKIPPED_LAST && slice_starts(slice_from(start, 1), slice_of(SKIPPED_MAGIC)))
		return PACKED_ZSTD;
	return PACKED_NOT;
}

struct packed *packed_open(int fd, struct slice start)
{
	struct packed *p = mem_zeroed(1, sizeof *p);

	p->kind = packed_kind(start);
	p->codec = p->kind == PACKED_GZIP ? &packed_gzip : &packed_zstd;
	p->fd = fd;
	p->between = true;
	p->cap = start.n < INPUT ? INPUT : start.n;
	p->input = mem_array(p->cap, 1);
	memcpy(p->input, start.p, start.n);
	p->n = start.n;
	p->read = (int64_t)p->n;
	p->state = p->codec->start();
	if (!p->state)
		p->error = PACKED_MEMORY;
	return p;
}

void packed_close(struct packed *p)
{
	if (!p)
		return;
	if (p->state)
		p->codec->end(p->state);
	free(p->input);
	free(p);
}

/* Reads behind what is left of the buffer. */
static bool read_more(struct packed *p)
{
	ssize_t got;

	memmove(p->input, p->input + p->at, p->n);
	p->at = 0;
	do
		got = read(p->fd, p->input + p->n, p->cap - p->n);
	while (got < 0 && errno == EINTR);
	if (got < 0) {
		p->error = errno;
		return false;
	}
	p->ended = got == 0;
	p->n += (size_t)got;
	p->read += got;
	return true;
}

/* Before a member: whether there is one. Its first bytes may still be on their way. */
static bool begins(struct packed *p)
{
	while (p->n < PACKED_MAGIC && !p->ended)
		if (!read_more(p))
			return false;
	if (!p->n)
		return false;
	if (packed_kind((struct slice){ p->input + p->at, p->n }) != p->kind) {
		p->error = PACKED_TRAILING;
		return false;
	}
	p->between = false;
	return true;
}

static void unpack(struct packed *p, struct packed_io *out)
{
	struct packed_io io = { p->input + p->at, p->n, out->out, out->nout };
	int step = p->codec->step(p->state, &io);

	p->at += p->n - io.nin;
	if (step < 0)
		p->error = step;
	else if (p->ended && step == PACKED_STEP_ON && io.nin == p->n && io.nout == out->nout)
		p->error = PACKED_CUT;
	p->n = io.nin;
	p->between = step == PACKED_STEP_END;
	*out = io;
}

long packed_next(struct packed *p, char *into, size_t n)
{
	struct packed_io out = { .out = into, .nout = n };

	while (!p->error && out.nout == n) {
		if (p->between && !begins(p))
			break;
		if (!p->n && !p->ended && !read_more(p))
			break;
		unpack(p, &out);
	}
	return out.nout < n ? (long)(n - out.nout) : p->error ? -1 : 0;
}

int packed_error(const struct packed *p)
{
	return p->error;
}

int64_t packed_at(const struct packed *p)
{
	return p->read - (int64_t)p->n;
}

static const char *error_text(int error)
{
	switch (error) {
	case PACKED_CUT:
		return "its packed data ends too early; part of it is missing, so fetch it again";
	case PACKED_DAMAGED:
		return "its packed data is found to be damaged; take another copy";
	case PACKED_TRAILING:
		return "something else follows its packed data";
	case PACKED_WINDOW:
		return "it needs more than 128 MiB of memory to unpack; pack it again without --long";
	case PACKED_MEMORY:
		return "there is no memory to unpack it";
	default:
		return strerror(error);
	}
}

void packed_error_write(struct buf *out, int error, int64_t at)
{
	if (error == PACKED_CUT || error == PACKED_DAMAGED || error == PACKED_TRAILING)
		buf_printf(out, "at byte %lld ", (long long)at);
	buf_str(out, error_text(error));
}
