/*
 * progress.c: the line on a terminal of our own, each case in a process of its own; nothing before a
 * second is over, in a file or beside a pipe, and nothing left at the end.
 */
#include <fcntl.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "base/text.h"
#include "cli/progress.h"
#include "check.h"

enum output { TO_FILE, TO_PIPE, TO_TERMINAL };

static void wait_ms(long ms)
{
	nanosleep(&(struct timespec){ ms / 1000, ms % 1000 * 1000000 }, NULL);
}

static int open_output(enum output output, int terminal)
{
	int ends[2];

	if (output == TO_TERMINAL)
		return dup(terminal);
	if (output == TO_PIPE)
		return pipe(ends) ? -1 : ends[1];
	return open("/dev/null", O_WRONLY);
}

/* What `work` shows on a terminal that is its standard error. */
static void run(void (*work)(void), enum output output, struct buf *seen)
{
	int master = posix_openpt(O_RDWR | O_NOCTTY), slave;
	char part[1000];
	ssize_t n;
	pid_t child;

	seen->n = 0;
	if (master < 0 || grantpt(master) || unlockpt(master) || (slave = open(ptsname(master), O_RDWR | O_NOCTTY)) < 0)
		return; /* no terminal to be had: the checks fail */
	child = fork();
	if (child == 0) {
		dup2(open_output(output, slave), STDOUT_FILENO);
		dup2(slave, STDERR_FILENO);
		work();
		_exit(0);
	}
	waitpid(child, NULL, 0);
	close(slave);
	while ((n = read(master, part, sizeof part)) > 0)
		buf_add(seen, (struct slice){ part, (size_t)n });
	close(master);
}

static void at_once(void)
{
	progress_is_wanted();
	progress_bytes(50, 200);
	progress_count("charges", 1, 2);
	progress_clear();
}

static void after_a_second(void)
{
	progress_is_wanted();
	wait_ms(1100);
	progress_bytes(50, 200);
	progress_bytes(60, 200); /* too soon after it */
	wait_ms(300);
	progress_count("charges", 3, 17);
	progress_clear();
	progress_clear();
}

static void of_a_pipe(void)
{
	progress_is_wanted();
	wait_ms(1100);
	progress_bytes(12500000, 0);
	progress_output();
	wait_ms(300);
	progress_bytes(13500000, 0);
}

int main(void)
{
	struct buf seen = BUF_INIT;

	run(at_once, TO_FILE, &seen);
	CHECK_TEXT(buf_slice(&seen), "");
	run(after_a_second, TO_FILE, &seen);
	CHECK_TEXT(buf_slice(&seen), "\rreading the book: 25 %\rcharges: 3 of 17 done \r                     \r");
	run(after_a_second, TO_PIPE, &seen);
	CHECK_TEXT(buf_slice(&seen), "");
	run(of_a_pipe, TO_TERMINAL, &seen);
	CHECK_TEXT(buf_slice(&seen), "\rreading: 12 MB\r              \r");
	run(of_a_pipe, TO_FILE, &seen);
	CHECK_TEXT(buf_slice(&seen), "\rreading: 12 MB\r              \r\rreading: 13 MB");
	buf_release(&seen);
	return check_end();
}
