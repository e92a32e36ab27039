#include "cli/output.h"

#include <errno.h>
#include <poll.h>
#include <pthread.h>
#include <signal.h>
#include <unistd.h>

enum { HELD_MOST = 1 << 16, MARK_WAIT_MS = 1000 };

static const char mark[] = "\n#! incomplete\n";
static char held[HELD_MOST];
static size_t held_n;
static bool each_line, started, failed;
static int failure;                       /* the errno of the first failure */
static bool mid_line;                     /* the last byte added ended no line */
static volatile sig_atomic_t wrote_mid;   /* so did the last byte written */
static volatile sig_atomic_t writing, caught;
static pthread_t writer;

/* --- signals ---------------------------------------------------------------------------------- */

/* In the signal's handler the process ends as soon as that returns. */
static void die(int sig)
{
	struct sigaction act = { .sa_handler = SIG_DFL };

	sigemptyset(&act.sa_mask);
	sigaction(sig, &act, NULL);
	raise(sig);
}

/* Only calls that a handler may make. A reader that takes nothing is not waited for longer than a second. */
static void mark_and_die(int sig)
{
	struct pollfd out = { .fd = STDOUT_FILENO, .events = POLLOUT };
	ssize_t got = 0;

	if (started && poll(&out, 1, MARK_WAIT_MS) == 1 && out.revents == POLLOUT)
		got = wrote_mid ? write(STDOUT_FILENO, mark, sizeof mark - 1) : write(STDOUT_FILENO, mark + 1, sizeof mark - 2);
	(void)got;
	die(sig);
}

/* A write that waits is interrupted and ends the process itself; the second signal does not wait for it. */
static void on_signal(int sig)
{
	int error = errno;

	if (!pthread_equal(pthread_self(), writer))
		pthread_kill(writer, sig);
	else if (writing && !caught)
		caught = sig;
	else if (writing)
		die(sig);
	else
		mark_and_die(sig);
	errno = error;
}

static void catch_signal(int sig)
{
	struct sigaction act = { .sa_handler = on_signal }, before;

	if (sigaction(sig, NULL, &before) < 0 || before.sa_handler == SIG_IGN)
		return;
	sigemptyset(&act.sa_mask);
	sigaddset(&act.sa_mask, SIGINT);
	sigaddset(&act.sa_mask, SIGTERM);
	sigaddset(&act.sa_mask, SIGHUP);
	sigaction(sig, &act, NULL);
}

void output_start(bool at_once)
{
	each_line = at_once;
	writer = pthread_self();
	catch_signal(SIGINT);
	catch_signal(SIGTERM);
	catch_signal(SIGHUP);
}

/* --- writing ------------------------------------------------------------------------------------ */

static bool fail_with(int error)
{
	if (!failed)
		failure = error;
	failed = true;
	errno = failure;
	return false;
}

/* Writes all of it; a signal that came meanwhile ends the process here, where it is known what is written. */
static bool put(struct slice s)
{
	bool good = true;

	writing = 1;
	while (s.n && good) {
		ssize_t done = caught ? 0 : write(STDOUT_FILENO, s.p, s.n);
		int error = errno;

		if (done > 0) {
			wrote_mid = s.p[done - 1] != '\n';
			s = slice_from(s, (size_t)done);
		}
		if (caught)
			break;
		if (done < 0 && error != EINTR)
			good = fail_with(error);
	}
	writing = 0;
	if (caught)
		mark_and_die(caught);
	return good;
}

static bool flush(size_t n)
{
	struct slice s = { held, n };

	if (failed)
		return fail_with(failure);
	if (!put(s))
		return false;
	memmove(held, held + n, held_n - n);
	held_n -= n;
	return true;
}

/* What is held up to the end of its last line. */
static size_t whole_lines(void)
{
	size_t n = held_n;

	while (n && held[n - 1] != '\n')
		n--;
	return n;
}

bool output_add(struct slice s)
{
	if (!s.n)
		return true;
	started = true;
	mid_line = s.p[s.n - 1] != '\n';
	while (s.n) {
		size_t n = s.n < HELD_MOST - held_n ? s.n : HELD_MOST - held_n;

		memcpy(held + held_n, s.p, n);
		held_n += n;
		s = slice_from(s, n);
		if (held_n == HELD_MOST && !flush(held_n))
			return false;
	}
	return !each_line || flush(whole_lines());
}

bool output_flush(void)
{
	return flush(held_n);
}

bool output_started(void)
{
	return started;
}

void output_incomplete(void)
{
	if (!started || failed || !flush(held_n))
		return;
	put(mid_line ? SLICE("\n#! incomplete\n") : SLICE("#! incomplete\n"));
}

bool output_end(void)
{
	if (!flush(held_n))
		return false;
	started = false; /* it is whole: no signal marks it any more */
	return close(STDOUT_FILENO) == 0 || fail_with(errno);
}
