#include "base/spool.h"

#include <errno.h>
#include <unistd.h>

#include "base/nameless_file.h"

static size_t most_of(const struct spool *s)
{
	return s->most ? s->most : SPOOL_HELD;
}

static FILE *open_file(void)
{
	int fd = nameless_file();
	FILE *file = fd >= 0 ? fdopen(fd, "w+") : NULL;

	if (fd >= 0 && !file)
		close(fd);
	return file;
}

/* Moves what is held to the file. */
static bool spill(struct spool *s)
{
	if (!s->file)
		s->file = open_file();
	if (!s->file || fwrite(s->held.p, 1, s->held.n, s->file) != s->held.n) {
		s->error = errno ? errno : EIO;
		return false;
	}
	s->held.n = 0;
	return true;
}

bool spool_add(struct spool *s, struct buf *b)
{
	if (s->held.n + b->n > most_of(s) && s->held.n && !spill(s))
		return false;
	buf_add(&s->held, buf_slice(b));
	b->n = 0;
	return true;
}

/* From here on the file is read, through the buffer that held what came last. */
static bool turn(struct spool *s)
{
	s->reading = true;
	if (!s->file)
		return true;
	if (!spill(s) || fflush(s->file) || fseek(s->file, 0, SEEK_SET)) {
		s->error = s->error ? s->error : errno;
		return false;
	}
	return true;
}

struct slice spool_next(struct spool *s)
{
	const struct slice end = { "", 0 };

	if (s->ended || s->error || (!s->reading && !turn(s)))
		return end;
	if (s->file) {
		s->held.p = mem_grow(s->held.p, &s->held.cap, most_of(s), 1);
		s->held.n = fread(s->held.p, 1, most_of(s), s->file);
		if (ferror(s->file))
			s->error = errno ? errno : EIO;
		return s->error ? end : buf_slice(&s->held);
	}
	s->ended = true;
	return buf_slice(&s->held);
}

void spool_again(struct spool *s)
{
	if (s->reading && s->file)
		rewind(s->file);
	s->ended = false;
}

bool spool_settle(struct spool *s)
{
	return !s->error && (s->reading || turn(s));
}

struct slice spool_walk_next(struct spool_walk *w)
{
	const struct spool *s = w->spool;
	ssize_t got;

	if (w->at < 0 || w->error)
		return (struct slice){ "", 0 };
	if (!s->file) {
		w->at = -1;
		return buf_slice(&s->held);
	}
	if (!w->piece)
		w->piece = mem_array(SPOOL_PIECE, 1);
	do
		got = pread(fileno(s->file), w->piece, SPOOL_PIECE, (off_t)w->at);
	while (got < 0 && errno == EINTR);
	if (got < 0)
		w->error = errno;
	w->at = got > 0 ? w->at + got : -1;
	return (struct slice){ w->piece, got > 0 ? (size_t)got : 0 };
}

void spool_walk_release(struct spool_walk *w)
{
	free(w->piece);
	*w = (struct spool_walk){ 0 };
}

void spool_release(struct spool *s)
{
	if (s->file)
		fclose(s->file);
	buf_release(&s->held);
	memset(s, 0, sizeof *s);
}
