/* wy-serve - a language server for books: the checker behind an editor; wy-serve(1). */
#include <errno.h>
#include <poll.h>
#include <signal.h>
#include <stdlib.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

#include "cli/tool.h"
#include "serve/judge.h"
#include "serve/session.h"
#include "time/zone.h"

enum { IDLE_MOST_MS = 150, IDLE_BY_CHECK = -1, BLOCK = 1 << 16 };

static int64_t idle_ms = IDLE_BY_CHECK;

static const struct opt options[] = {
	OPT_TEXT('H', "house", &tool.house, "FILE", "the house file; without it, house.yaml in the folder of each book or above"),
	OPT_INT(0, "idle", &idle_ms, "MS", 0, 60000, "check the whole book after so many milliseconds without a change; default: as many as a check takes, at most 150"),
	OPT_END
};

static const struct opt_page page = {
	.name = "wy-serve",
	.purpose = "check and complete a book while it is edited: a language server on standard input and output",
	.usage = "[options]",
	.options = options,
	.exits = "0  the editor shut the server down and sent exit\n1  exit without a shutdown, or the editor went away\n"
		"2  usage error",
	.example = "wy-serve\nis what an editor is to start for files of the type withy",
};

static int64_t now_ms(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (int64_t)t.tv_sec * 1000 + t.tv_nsec / 1000000;
}

static int64_t offset_now(int64_t utc_s, const void *clock)
{
	return zone_offset(clock, utc_s);
}

static int32_t today(const struct zone *zone)
{
	return tool_today(offset_now, zone);
}

static bool write_all(int fd, struct slice s)
{
	while (s.n) {
		ssize_t n = write(fd, s.p, s.n);

		if (n < 0 && errno == EINTR)
			continue;
		if (n <= 0)
			return false;
		s = slice_from(s, (size_t)n);
	}
	return true;
}

/* ---- the whole book, checked in a process of its own, whose memory is the book as it was when it started */

static struct {
	pid_t pid;                 /* 0: none */
	int fd;
	const struct works *works;
	uint64_t state;
	int64_t started_ms, took_ms; /* the last one that came to its end */
	struct buf result;
} checking = { .took_ms = IDLE_MOST_MS };

static void start_check(const struct works *w, uint64_t state)
{
	struct buf result = BUF_INIT;
	int ends[2];

	if (pipe(ends))
		return;
	checking.pid = fork();
	if (checking.pid == 0) {
		close(ends[0]);
		judge_book(w, &result);
		_exit(write_all(ends[1], buf_slice(&result)) ? 0 : 1);
	}
	close(ends[1]);
	checking.fd = ends[0];
	checking.works = w;
	checking.state = state;
	checking.started_ms = now_ms();
	checking.result.n = 0;
	if (checking.pid < 0) {        /* no process to be had: later */
		close(ends[0]);
		checking.pid = 0;
	}
}

static void end_check(bool kill_it)
{
	if (!checking.pid)
		return;
	if (kill_it)
		kill(checking.pid, SIGKILL);
	close(checking.fd);
	while (waitpid(checking.pid, NULL, 0) < 0 && errno == EINTR)
		;
	checking.pid = 0;
}

/* What the check wrote so far; at its end the result is taken in. */
static void read_check(struct session *s, struct buf *out)
{
	char block[BLOCK];
	ssize_t n = read(checking.fd, block, sizeof block);

	if (n < 0 && errno == EINTR)
		return;
	if (n > 0) {
		buf_add(&checking.result, (struct slice){ block, (size_t)n });
		return;
	}
	end_check(false);
	checking.took_ms = now_ms() - checking.started_ms;
	session_judged(s, checking.works, buf_slice(&checking.result), out);
}

/* ---- the loop */

/* A book that is checked between two keys is checked after each; a long one where typing stops. */
static int64_t pause_ms(void)
{
	if (idle_ms != IDLE_BY_CHECK)
		return idle_ms;
	return checking.took_ms < IDLE_MOST_MS ? checking.took_ms : IDLE_MOST_MS;
}

/* How long to wait: until the check is due, or for ever. */
static int wait_ms(const struct session *s, int64_t changed_ms)
{
	uint64_t state;
	int64_t left = changed_ms + pause_ms() - now_ms();

	if (checking.pid || !session_due(s, &state))
		return -1;
	return left > 0 ? (int)left : 0;
}

static void check_if_due(struct session *s, int64_t changed_ms)
{
	uint64_t state;
	const struct works *w = session_due(s, &state);

	if (w && !checking.pid && now_ms() >= changed_ms + pause_ms())
		start_check(w, state);
}

/* Bytes of the editor. False at the end. */
static bool read_editor(struct session *s, struct buf *out, int64_t *changed_ms)
{
	char block[BLOCK];
	ssize_t n = read(STDIN_FILENO, block, sizeof block);

	if (n < 0 && errno == EINTR)
		return true;
	if (n <= 0)
		return false;
	session_take(s, (struct slice){ block, (size_t)n }, out);
	if (checking.pid && session_state(checking.works) != checking.state)
		end_check(true);
	if (!checking.pid)
		*changed_ms = now_ms();
	return true;
}

static int serve(struct session *s)
{
	struct buf out = BUF_INIT;
	int64_t changed_ms = 0;
	int status = 1;

	while (!session_is_over(s, &status)) {
		struct pollfd fd[2] = { { STDIN_FILENO, POLLIN, 0 }, { checking.pid ? checking.fd : -1, POLLIN, 0 } };

		if (poll(fd, 2, wait_ms(s, changed_ms)) < 0 && errno != EINTR)
			break;
		if (fd[1].revents)
			read_check(s, &out);
		if (fd[0].revents && !read_editor(s, &out, &changed_ms))
			break;
		check_if_due(s, changed_ms);
		if (!write_all(STDOUT_FILENO, buf_slice(&out)))
			break;
		out.n = 0;
	}
	write_all(STDOUT_FILENO, buf_slice(&out));
	end_check(true);
	buf_release(&out);
	buf_release(&checking.result);
	return session_is_over(s, &status) ? status : 1;
}

int main(int argc, char **argv)
{
	struct session *session;
	int status;

	tool_start(&page, argc, argv);
	if (tool.n_operands)
		tool_misused("it reads no files by itself; an editor sends them");
	signal(SIGPIPE, SIG_IGN);
	session = session_new(tool.house, today, WITHY_VERSION);
	status = serve(session);
	session_free(session);
	return status;
}
