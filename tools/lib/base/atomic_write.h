/*
 * atomic_write.h - a file whose contents are replaced all at once, or not at all.
 *
 * The new contents are written to a file beside the old one, brought to the disk, and renamed over
 * it, so that whoever looks, at whatever moment and after whatever crash, finds the old file or the
 * new one in full. Permissions and group are kept, the owner where the system allows it; extended
 * attributes are not, and other hard links keep the old contents. A symbolic link is followed and
 * stays one.
 *
 * From replace_open() on the file is locked (fcntl, whole file, for writing), where the file system
 * has locks: a writer that honours the lock cannot come between. One that does not is noticed when
 * the file is no longer what was read, and then it is not replaced. The lock is the process's: it
 * must not open and close the same file otherwise meanwhile.
 *
 * Needs text.h before it.
 */
#ifndef WITHY_ATOMIC_WRITE_H
#define WITHY_ATOMIC_WRITE_H

#include <sys/types.h>
#include <sys/stat.h>

struct replace {
	char *path;       /* without symbolic links */
	int fd;
	struct stat st;   /* when it was opened, and when it was read */
};

/* Besides errnos. */
enum { REPLACE_NOT_REGULAR = -2, REPLACE_LOCKED = -3, REPLACE_CHANGED = -4 };

/* Opens and locks the file; waits ten seconds for the lock. 0, or an error for replace_error(). */
int replace_open(struct replace *r, const char *path);

/* Reads all of it into `into`, which is emptied first. 0 or an error. */
int replace_read(struct replace *r, struct buf *into);

/* Puts `bytes` in its place. 0 or an error; then the file is as it was. */
int replace_commit(struct replace *r, struct slice bytes);

/* Lets go of the file and its lock. To be called also after a failed replace_open(). */
void replace_close(struct replace *r);

/* What an error means, in words. */
const char *replace_error(int error);

#endif
