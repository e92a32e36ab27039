#include "base/spill.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>

#include "base/mem.h"
#include "base/nameless_file.h"

enum { FIRST_VIEW = 4 * 1024 };

static void (*failure)(int error);

void spill_on_failure(void (*fn)(int error))
{
	failure = fn;
}

static void fail(int error)
{
	if (failure)
		failure(error);
	abort();
}

void spill_release(struct spill *s)
{
	if (s->filed)
		close(s->file);
	free(s->held);
	*s = (struct spill)SPILL_INIT;
}

void spill_view_release(struct spill_view *v)
{
	free(v->p);
	*v = (struct spill_view)SPILL_VIEW_INIT;
}

/* ---- adding */

/* Moves what is held to the file. */
static void write_held(struct spill *s)
{
	if (!s->filed && (s->file = nameless_file()) < 0)
		fail(errno);
	for (size_t done = 0; done < s->n;) {
		ssize_t n = write(s->file, s->held + done, s->n - done);

		if (n <= 0 && (n == 0 || errno != EINTR))
			fail(n < 0 ? errno : EIO);
		done += n > 0 ? (size_t)n : 0;
	}
	s->filed += s->n;
	s->n = 0;
}

unsigned char *spill_space(struct spill *s, size_t most)
{
	size_t held = s->most ? s->most : s->filed ? (size_t)SPILL_STEP : (size_t)SPILL_HELD;

	if (s->n + most > held && s->n)
		write_held(s);
	s->held = mem_grow(s->held, &s->cap, s->n + most, 1);
	return s->held + s->n;
}

/* ---- reading */

/* Whoever goes on from where the view is gets twice as much at once, so that going to and fro costs little. */
static size_t next_size(const struct spill_view *v, size_t at, size_t need)
{
	size_t most = v->most ? v->most : SPILL_VIEW_MOST, size = FIRST_VIEW;

	if (v->n && at > v->at && at - v->at <= v->n)
		size = v->n * 2;
	size = size > most ? most : size;
	return size < need ? need : size;
}

void spill_view_move(const struct spill *s, struct spill_view *v, size_t at, size_t need)
{
	size_t size = next_size(v, at, need), n = 0;

	if (size > s->filed - at)
		size = s->filed - at;
	if (v->at == at && v->n == size)
		return;
	v->p = mem_grow(v->p, &v->cap, size, 1);
	while (n < size) {
		ssize_t got = pread(s->file, v->p + n, size - n, (off_t)(at + n));

		if (got <= 0 && (got == 0 || errno != EINTR))
			fail(got < 0 ? errno : EIO);
		n += got > 0 ? (size_t)got : 0;
	}
	v->at = at;
	v->n = n;
}
