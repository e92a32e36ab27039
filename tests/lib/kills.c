/*
 * kills KILLS WORKERS ACKNOWLEDGED COMMAND... - has WORKERS processes run the command again and again, and kills each run
 * at a random moment, until so many were killed before they ended. The first run of each is not killed; it shows how long
 * one takes. In the command @ stands for a name of its own, WORKER-RUN. The names whose run ended with status 0 go to the
 * file ACKNOWLEDGED, a line each. Prints how many runs ended with which status. For the tests of what a kill leaves behind.
 */
#define _DEFAULT_SOURCE 1
#include <fcntl.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

enum { ARGUMENTS = 30, LONG = 200 };

/* From 0.3 milliseconds to `most`, each power of two as likely. */
static void wait_a_moment(unsigned *seed, double most_us)
{
	usleep((useconds_t)(300 * pow(most_us / 300, rand_r(seed) % 1000 / 999.0)));
}

static double now_us(void)
{
	struct timespec now;

	clock_gettime(CLOCK_MONOTONIC, &now);
	return (double)now.tv_sec * 1e6 + (double)now.tv_nsec / 1e3;
}

/* `most_us` 0: it is not killed. */
static int run(char **command, const char *name, unsigned *seed, double most_us)
{
	static char text[ARGUMENTS][LONG];
	char *argv[ARGUMENTS + 1] = { NULL };
	int status, null;
	pid_t child;

	for (int i = 0; command[i] && i < ARGUMENTS; i++) {
		char *at = strchr(command[i], '@');

		argv[i] = command[i];
		if (at && snprintf(text[i], LONG, "%.*s%s%s", (int)(at - command[i]), command[i], name, at + 1) < LONG)
			argv[i] = text[i];
	}
	child = fork();
	if (child == 0) {
		null = open("/dev/null", O_RDWR);
		dup2(null, 0);
		dup2(null, 1);
		dup2(null, 2);
		execvp(argv[0], argv);
		_exit(127);
	}
	if (most_us > 0) {
		wait_a_moment(seed, most_us);
		kill(child, SIGKILL);
	}
	waitpid(child, &status, 0);
	return WIFSIGNALED(status) ? 128 + WTERMSIG(status) : WEXITSTATUS(status);
}

/* A worker's share; what came of it goes to `report` as a line of counts. */
static void work(int worker, int kills, const char *acknowledged, char **command, int report)
{
	int killed = 0, done = 0, refused = 0, n;
	int file = open(acknowledged, O_WRONLY | O_CREAT | O_APPEND, 0666);
	unsigned seed = (unsigned)worker * 7919 + 1;
	double start = now_us(), most_us = 0;
	char name[LONG];

	for (int i = 0; killed < kills; i++) {
		int status;

		snprintf(name, sizeof name, "%d-%d", worker, i);
		status = run(command, name, &seed, most_us);
		if (i == 0)
			most_us = fmax(3000, fmin(4 * (now_us() - start), fmax(100000, now_us() - start)));
		killed += status == 128 + SIGKILL;
		done += status == 0;
		refused += status != 0 && status != 128 + SIGKILL;
		n = snprintf(name, sizeof name, "%d-%d\n", worker, i);
		if (status == 0 && write(file, name, (size_t)n) != n)
			_exit(1);
	}
	n = snprintf(name, sizeof name, "%d killed, %d done, %d refused\n", killed, done, refused);
	_exit(write(report, name, (size_t)n) != n);
}

int main(int argc, char **argv)
{
	int kills = argc > 4 ? atoi(argv[1]) : 0, workers = argc > 4 ? atoi(argv[2]) : 0, status = 0, one;

	if (kills < 1 || workers < 1)
		return 2;
	for (int i = 0; i < workers; i++)
		if (fork() == 0)
			work(i, kills / workers, argv[3], argv + 4, 1);
	while (wait(&one) > 0)
		status |= one != 0;
	return status;
}
