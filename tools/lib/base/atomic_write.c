#include "base/atomic_write.h"

#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <time.h>
#include <unistd.h>

#include "base/hold_signals.h"
#include "base/packed.h"

enum { LOCK_TRIES = 1000, LOCK_PAUSE_NS = 10000000, PIECE = 1 << 16 };

const char *atomic_write_error(int error)
{
	switch (error) {
	case ATOMIC_WRITE_NOT_REGULAR:
		return "it is not a regular file";
	case ATOMIC_WRITE_LOCKED:
		return "another program has it locked";
	case ATOMIC_WRITE_CHANGED:
		return "it was changed in the meantime; try again";
	case ATOMIC_WRITE_OWNER:
		return "it would lose its owner or group; run this as its owner";
	case ATOMIC_WRITE_PACKED:
		return "it is packed (gzip or zstd); unpack it first with gunzip or unzstd, since a packed book can only be read";
	default:
		return strerror(error);
	}
}

/* ---- opening */

/* On a file system without locks the work goes on; only the check at the end then protects the file. */
static int lock(int fd)
{
	struct flock whole = { .l_type = F_WRLCK, .l_whence = SEEK_SET };
	const struct timespec pause = { 0, LOCK_PAUSE_NS };

	for (int i = 0; i < LOCK_TRIES; i++) {
		if (fcntl(fd, F_SETLK, &whole) == 0 || errno == ENOLCK || errno == EINVAL || errno == ENOTSUP)
			return 0;
		if (errno != EAGAIN && errno != EACCES && errno != EINTR)
			return errno;
		nanosleep(&pause, NULL);
	}
	return ATOMIC_WRITE_LOCKED;
}

static int open_locked(struct atomic_write *r)
{
	int error;

	r->fd = open(r->path, O_RDWR | O_CLOEXEC | O_NOCTTY | O_NONBLOCK);
	if (r->fd < 0)
		return errno;
	if (fstat(r->fd, &r->st) < 0)
		return errno;
	if (!S_ISREG(r->st.st_mode))
		return ATOMIC_WRITE_NOT_REGULAR;
	error = lock(r->fd);
	if (!error && fstat(r->fd, &r->st) < 0)
		error = errno;
	return error;
}

int atomic_write_open(struct atomic_write *r, const char *path)
{
	struct stat there;
	int error;

	r->fd = -1;
	r->path = realpath(path, NULL);
	if (!r->path)
		return errno;
	for (;;) {
		error = open_locked(r);
		if (error)
			return error == EISDIR ? ATOMIC_WRITE_NOT_REGULAR : error;
		if (stat(r->path, &there) < 0)
			return errno;
		if (there.st_ino == r->st.st_ino && there.st_dev == r->st.st_dev)
			return 0;
		close(r->fd); /* who held the lock before has replaced the file */
	}
}

void atomic_write_close(struct atomic_write *r)
{
	if (r->fd >= 0)
		close(r->fd);
	free(r->path);
	r->path = NULL;
	r->fd = -1;
}

int atomic_write_read(struct atomic_write *r, struct buf *into)
{
	ssize_t got;

	into->n = 0;
	do {
		if (into->cap - into->n < PIECE)
			into->p = mem_grow(into->p, &into->cap, into->n + PIECE, 1);
		got = pread(r->fd, into->p + into->n, PIECE, (off_t)into->n);
		if (got > 0)
			into->n += (size_t)got;
	} while (got > 0 || (got < 0 && errno == EINTR));
	if (got < 0)
		return errno;
	if (packed_kind(buf_slice(into)) != PACKED_NOT)
		return ATOMIC_WRITE_PACKED;
	return into->n == (size_t)r->st.st_size ? 0 : ATOMIC_WRITE_CHANGED;
}

/* ---- replacing */

static int write_all(int fd, struct slice s)
{
	while (s.n) {
		ssize_t done = write(fd, s.p, s.n);

		if (done < 0 && errno != EINTR)
			return errno;
		if (done > 0)
			s = slice_from(s, (size_t)done);
	}
	return 0;
}

/* Only root can give a file to another owner, and only members to a group. */
static int keep_owner(int fd, const struct stat *st)
{
	struct stat mine;

	if (fstat(fd, &mine) < 0)
		return errno;
	if ((mine.st_uid != st->st_uid || mine.st_gid != st->st_gid) && fchown(fd, st->st_uid, st->st_gid) < 0)
		return errno == EPERM ? ATOMIC_WRITE_OWNER : errno;
	return fchmod(fd, st->st_mode & 07777) < 0 ? errno : 0;
}

static int fill(int fd, const struct atomic_write *r, struct slice bytes)
{
	int error = keep_owner(fd, &r->st);

	if (!error)
		error = write_all(fd, bytes);
	if (!error && fsync(fd) < 0)
		error = errno;
	return error;
}

/* Whether what is at the path is still what was read. */
static int unchanged(const struct atomic_write *r)
{
	struct stat now;

	if (stat(r->path, &now) < 0)
		return errno;
	if (now.st_ino != r->st.st_ino || now.st_dev != r->st.st_dev || now.st_size != r->st.st_size
			|| now.st_mtim.tv_sec != r->st.st_mtim.tv_sec || now.st_mtim.tv_nsec != r->st.st_mtim.tv_nsec)
		return ATOMIC_WRITE_CHANGED;
	return 0;
}

/* The folder's part of the path, with its last slash. */
static struct slice folder_of(const char *path)
{
	const char *slash = strrchr(path, '/');

	return (struct slice){ path, slash ? (size_t)(slash - path) + 1 : 0 };
}

/* Brings the rename itself to the disk; where a folder cannot be synced it is done as well as can be. */
static void sync_folder(struct slice folder)
{
	char *path = mem_copy(folder.p, folder.n);
	int fd = open(*path ? path : ".", O_RDONLY | O_CLOEXEC | O_DIRECTORY);

	if (fd >= 0) {
		fsync(fd);
		close(fd);
	}
	free(path);
}

/* By way of a new file, whose name begins as `name` and ends in XXXXXX. */
static int replace(struct atomic_write *r, char *name, struct slice bytes)
{
	int fd = mkstemp(name), error;

	if (fd < 0)
		return errno;
	error = fill(fd, r, bytes);
	if (close(fd) < 0 && !error)
		error = errno;
	if (!error)
		error = unchanged(r);
	if (!error && rename(name, r->path) < 0)
		error = errno;
	if (error)
		unlink(name);
	return error;
}

int atomic_write_commit(struct atomic_write *r, struct slice bytes)
{
	struct slice folder = folder_of(r->path);
	struct buf name = BUF_INIT;
	sigset_t was;
	int error;

	buf_add(&name, folder);
	buf_str(&name, ".wy-XXXXXX");
	buf_cstr(&name);
	hold_signals(&was);
	error = replace(r, name.p, bytes);
	let_signals(&was);
	if (!error)
		sync_folder(folder);
	buf_release(&name);
	return error;
}
