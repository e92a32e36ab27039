/*
 * atomic_write.h - a file whose contents are replaced all at once, or not at all.
 *
 * The new contents are written to a file beside the old one, brought to the disk, and renamed over
 * it, so that whoever looks, at whatever moment and after whatever crash, finds the old file or the
 * new one in full. Permissions, group and owner are kept; where the system does not allow that, the file is
 * not replaced. Extended attributes are lost, and other hard links keep the old contents. Signals wait until
 * the new file is in place or gone. A symbolic link is followed and
 * stays one.
 *
 * From atomic_write_open() on the file is locked (fcntl, whole file, for writing), where the file system
 * has locks: a writer that honours the lock cannot come between. A writer that does not is
 * noticed when the file differs from what was read. The file is then not replaced. The lock belongs to the
 * process: the process must not open and close the same file in another way meanwhile.
 */
#ifndef WITHY_ATOMIC_WRITE_H
#define WITHY_ATOMIC_WRITE_H

#include <sys/stat.h>
#include <sys/types.h>

#include "base/text.h"

struct stat;

struct atomic_write {
	char *path;       /* without symbolic links */
	int fd;
	struct stat st;   /* when it was opened, and when it was read */
};

/* Besides errnos. */
enum { ATOMIC_WRITE_NOT_REGULAR = -2, ATOMIC_WRITE_LOCKED = -3, ATOMIC_WRITE_CHANGED = -4, ATOMIC_WRITE_OWNER = -5,
	ATOMIC_WRITE_PACKED = -6 };

/* Opens and locks the file; waits ten seconds for the lock. 0, or an error for atomic_write_error(). */
int atomic_write_open(struct atomic_write *r, const char *path);

/* Reads all of it into `into`, which is emptied first. 0 or an error; gzip or zstd data is one. */
int atomic_write_read(struct atomic_write *r, struct buf *into);

/* Puts `bytes` in its place; signals wait meanwhile. 0 or an error; then the file is as it was. */
int atomic_write_commit(struct atomic_write *r, struct slice bytes);

/* Lets go of the file and its lock. To be called also after a failed atomic_write_open(). */
void atomic_write_close(struct atomic_write *r);

/* What an error means, in words. */
const char *atomic_write_error(int error);

#endif
