/* A file replaced at once: what stays when it works, when it fails, and when others write too. */
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "base/atomic_write.h"
#include "check.h"

static char folder[] = "/tmp/replace-XXXXXX"; /* and we stand in it */

static void write_file(const char *path, const char *text, int flags)
{
	int fd = open(path, O_WRONLY | O_CREAT | flags, 0644);

	CHECK(fd >= 0);
	CHECK_INT(write(fd, text, strlen(text)), strlen(text));
	close(fd);
}

static void check_file(const char *path, const char *want)
{
	char bytes[100];
	int fd = open(path, O_RDONLY);
	ssize_t n = fd < 0 ? -1 : read(fd, bytes, sizeof bytes);

	CHECK(n >= 0);
	CHECK_TEXT(((struct slice){ bytes, n < 0 ? 0 : (size_t)n }), want);
	close(fd);
}

static void check_replaced(void)
{
	struct buf was = BUF_INIT;
	struct atomic_write r;
	struct stat st;

	write_file("a", "old\n", O_TRUNC);
	CHECK_INT(chmod("a", 0604), 0);
	CHECK_INT(symlink("a", "link"), 0);
	CHECK_INT(atomic_write_open(&r, "link"), 0);
	CHECK_INT(atomic_write_read(&r, &was), 0);
	CHECK_TEXT(buf_slice(&was), "old\n");
	CHECK_INT(atomic_write_commit(&r, SLICE("new and longer\n")), 0);
	atomic_write_close(&r);
	check_file("a", "new and longer\n");
	CHECK_INT(lstat("link", &st), 0);
	CHECK(S_ISLNK(st.st_mode));
	CHECK_INT(stat("a", &st), 0);
	CHECK_INT(st.st_mode & 07777, 0604);
	CHECK_INT(unlink("link"), 0);
	buf_release(&was);
}

static void check_changed(void)
{
	struct buf was = BUF_INIT;
	struct atomic_write r;

	write_file("a", "old\n", O_TRUNC);
	CHECK_INT(atomic_write_open(&r, "a"), 0);
	CHECK_INT(atomic_write_read(&r, &was), 0);
	write_file("b", "another\n", O_TRUNC);
	CHECK_INT(rename("b", "a"), 0);
	CHECK_INT(atomic_write_commit(&r, SLICE("new\n")), ATOMIC_WRITE_CHANGED);
	atomic_write_close(&r);
	check_file("a", "another\n");
	buf_release(&was);
}

static void check_refused(void)
{
	struct atomic_write r;

	CHECK_INT(atomic_write_open(&r, "none"), ENOENT);
	atomic_write_close(&r);
	CHECK_INT(atomic_write_open(&r, "."), ATOMIC_WRITE_NOT_REGULAR);
	atomic_write_close(&r);
	CHECK_INT(mkfifo("fifo", 0600), 0);
	CHECK_INT(atomic_write_open(&r, "fifo"), ATOMIC_WRITE_NOT_REGULAR);
	atomic_write_close(&r);
	CHECK_INT(unlink("fifo"), 0);
}

/* A file of another's that all may write: it would become the replacer's. Only root can make one. */
static void check_foreign(void)
{
	int status = 0;
	struct stat st;
	pid_t child;

	write_file("a", "old\n", O_TRUNC);
	CHECK_INT(chmod("a", 0666), 0);
	CHECK_INT(chmod(".", 0777), 0);
	if (geteuid() != 0) {
		puts("not root: a file of another owner is not tried");
		return;
	}
	child = fork();
	if (child == 0) {
		struct buf was = BUF_INIT;
		struct atomic_write r;

		if (setgid(65534) || setuid(65534) || atomic_write_open(&r, "a") || atomic_write_read(&r, &was))
			_exit(1);
		_exit(atomic_write_commit(&r, SLICE("new\n")) == ATOMIC_WRITE_OWNER ? 0 : 2);
	}
	CHECK_INT(waitpid(child, &status, 0), child);
	CHECK_INT(status, 0);
	check_file("a", "old\n");
	CHECK_INT(stat("a", &st), 0);
	CHECK(st.st_uid == 0 && (st.st_mode & 07777) == 0666);
}

/* The folder is gone from where it was: there is nowhere to write to. */
static void check_no_folder(void)
{
	struct atomic_write r;

	CHECK_INT(mkdir("d", 0700), 0);
	write_file("d/a", "old\n", O_TRUNC);
	CHECK_INT(atomic_write_open(&r, "d/a"), 0);
	CHECK_INT(rename("d", "e"), 0);
	CHECK_INT(atomic_write_commit(&r, SLICE("new\n")), ENOENT);
	atomic_write_close(&r);
	check_file("e/a", "old\n");
	CHECK_INT(unlink("e/a"), 0);
	CHECK_INT(rmdir("e"), 0);
}

static void pause_ms(long ms)
{
	struct timespec t = { ms / 1000, ms % 1000 * 1000000 };

	nanosleep(&t, NULL);
}

/* Holds the lock, says so through `ready`, and writes before it lets go. */
static void hold_and_append(int ready)
{
	struct flock whole = { .l_type = F_WRLCK, .l_whence = SEEK_SET };
	int fd = open("a", O_RDWR | O_APPEND);

	if (fd < 0 || fcntl(fd, F_SETLK, &whole) < 0 || write(ready, "x", 1) != 1)
		_exit(1);
	pause_ms(300);
	if (write(fd, "more\n", 5) != 5)
		_exit(1);
	_exit(0);
}

static void check_waits_for_lock(void)
{
	struct buf was = BUF_INIT;
	struct atomic_write r;
	int ready[2], status = 0;
	char c;
	pid_t child;

	write_file("a", "old\n", O_TRUNC);
	CHECK_INT(pipe(ready), 0);
	child = fork();
	if (child == 0)
		hold_and_append(ready[1]);
	CHECK(child > 0);
	CHECK_INT(read(ready[0], &c, 1), 1);
	CHECK_INT(atomic_write_open(&r, "a"), 0);
	CHECK_INT(atomic_write_read(&r, &was), 0);
	CHECK_TEXT(buf_slice(&was), "old\nmore\n");
	atomic_write_close(&r);
	CHECK_INT(waitpid(child, &status, 0), child);
	CHECK_INT(status, 0);
	close(ready[0]);
	close(ready[1]);
	buf_release(&was);
}

/* Who waits for the lock of a file that is replaced gets the new one. */
static void check_two_replacers(void)
{
	struct buf was = BUF_INIT;
	struct atomic_write r;
	int ready[2], status = 0;
	char c;
	pid_t child;

	write_file("a", "old\n", O_TRUNC);
	CHECK_INT(pipe(ready), 0);
	child = fork();
	if (child == 0) {
		bool done = atomic_write_open(&r, "a") == 0 && write(ready[1], "x", 1) == 1;

		pause_ms(200);
		_exit(!(done && atomic_write_commit(&r, SLICE("first\n")) == 0));
	}
	CHECK(child > 0);
	CHECK_INT(read(ready[0], &c, 1), 1);
	CHECK_INT(atomic_write_open(&r, "a"), 0);
	CHECK_INT(atomic_write_read(&r, &was), 0);
	CHECK_TEXT(buf_slice(&was), "first\n");
	CHECK_INT(atomic_write_commit(&r, SLICE("second\n")), 0);
	atomic_write_close(&r);
	check_file("a", "second\n");
	CHECK_INT(waitpid(child, &status, 0), child);
	CHECK_INT(status, 0);
	close(ready[0]);
	close(ready[1]);
	buf_release(&was);
}

int main(void)
{
	if (!mkdtemp(folder) || chdir(folder) < 0)
		return 1;
	check_replaced();
	check_changed();
	check_refused();
	check_no_folder();
	check_foreign();
	check_waits_for_lock();
	check_two_replacers();
	CHECK_INT(unlink("a"), 0);
	CHECK_INT(rmdir(folder), 0); /* nothing was left behind */
	return check_end();
}
