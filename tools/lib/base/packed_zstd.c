#include "base/packed_internal.h"

#include <zstd.h>
#include <zstd_errors.h>

/* The library looks at all that it is given before it says where it is; in small pieces an error has a place. */
enum { PIECE = 16 * 1024 };

static void *start(void)
{
	return ZSTD_createDStream();
}

static void end(void *state)
{
	ZSTD_freeDStream(state);
}

static int error_of(size_t result)
{
	switch (ZSTD_getErrorCode(result)) {
	case ZSTD_error_memory_allocation:
		return PACKED_MEMORY;
	case ZSTD_error_frameParameter_windowTooLarge:
		return PACKED_WINDOW;
	default:
		return PACKED_DAMAGED;
	}
}

static int step(void *state, struct packed_io *io)
{
	ZSTD_inBuffer in = { io->in, io->nin < PIECE ? io->nin : PIECE, 0 };
	ZSTD_outBuffer out = { io->out, io->nout, 0 };
	size_t result = ZSTD_decompressStream(state, &out, &in);

	if (ZSTD_isError(result))
		in.pos = in.size;
	io->in += in.pos;
	io->nin -= in.pos;
	io->out += out.pos;
	io->nout -= out.pos;
	if (ZSTD_isError(result))
		return error_of(result);
	return result ? PACKED_STEP_ON : PACKED_STEP_END;
}

const struct packed_codec packed_zstd = { start, step, end };
