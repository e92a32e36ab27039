#include "base/packed_internal.h"

#include <limits.h>
#include <stdlib.h>
#include <zlib.h>

/* 15 bits of window, and 16: a gzip header and its checksum. */
enum { GZIP_ONLY = 15 + 16 };

struct gzip {
	z_stream stream;
	bool ended;
};

static void *start(void)
{
	struct gzip *g = calloc(1, sizeof *g);

	if (g && inflateInit2(&g->stream, GZIP_ONLY) != Z_OK) {
		free(g);
		return NULL;
	}
	return g;
}

static void end(void *state)
{
	struct gzip *g = state;

	inflateEnd(&g->stream);
	free(g);
}

static uInt at_most(size_t n)
{
	return n > INT_MAX ? INT_MAX : (uInt)n;
}

static int result(struct gzip *g, int status)
{
	switch (status) {
	case Z_OK:
	case Z_BUF_ERROR:
		return PACKED_STEP_ON;
	case Z_STREAM_END:
		g->ended = true;
		return PACKED_STEP_END;
	case Z_MEM_ERROR:
		return PACKED_MEMORY;
	default:
		return PACKED_DAMAGED;
	}
}

static int step(void *state, struct packed_io *io)
{
	struct gzip *g = state;
	z_stream *s = &g->stream;
	uInt nin = at_most(io->nin), nout = at_most(io->nout);
	int status;

	if (g->ended) {
		inflateReset(s);
		g->ended = false;
	}
	s->next_in = (z_const Bytef *)io->in;
	s->avail_in = nin;
	s->next_out = (Bytef *)io->out;
	s->avail_out = nout;
	status = inflate(s, Z_NO_FLUSH);
	io->in += nin - s->avail_in;
	io->nin -= nin - s->avail_in;
	io->out += nout - s->avail_out;
	io->nout -= nout - s->avail_out;
	return result(g, status);
}

const struct packed_codec packed_gzip = { start, step, end };
