/*
 * best RUNS COMMAND... - runs a command with its output thrown away, and prints the least of the
 * wall times in seconds, the greatest memory held in KB, the least of the times of the processor in
 * seconds, which counts every core, and the median of the wall times. Status 1 when a run did not end in 0.
 */
#define _DEFAULT_SOURCE
#include <fcntl.h>
#include <stdio.h>
#include <stdlib.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <time.h>
#include <unistd.h>

static double now(void)
{
	struct timespec t;

	clock_gettime(CLOCK_MONOTONIC, &t);
	return (double)t.tv_sec + (double)t.tv_nsec / 1e9;
}

static void become(char **command)
{
	int null = open("/dev/null", O_WRONLY);

	dup2(null, STDOUT_FILENO);
	execvp(command[0], command);
	perror(command[0]);
	_exit(127);
}

static double seconds_of(struct timeval t)
{
	return (double)t.tv_sec + (double)t.tv_usec / 1e6;
}

static double least(double a, double b)
{
	return a < b ? a : b;
}

/* One run's seconds, or below 0 when it did not end well. */
static double run(char **command, long *most_kb, double *cpu)
{
	double start = now();
	struct rusage used;
	int status;
	pid_t child = fork();

	if (child == 0)
		become(command);
	if (child < 0 || wait4(child, &status, 0, &used) < 0 || !WIFEXITED(status) || WEXITSTATUS(status) != 0)
		return -1;
	if (used.ru_maxrss > *most_kb)
		*most_kb = used.ru_maxrss;
	*cpu = least(*cpu, seconds_of(used.ru_utime) + seconds_of(used.ru_stime));
	return now() - start;
}

static int by_value(const void *a, const void *b)
{
	double x = *(const double *)a, y = *(const double *)b;

	return (x > y) - (x < y);
}

int main(int argc, char **argv)
{
	int runs = argc > 2 ? atoi(argv[1]) : 0;
	double cpu = 1e9, *took = calloc((size_t)runs + 1, sizeof *took);
	long most_kb = 0;

	if (!took || runs < 1)
		return 1;

	for (int i = 0; i < runs; i++) {
		took[i] = run(argv + 2, &most_kb, &cpu);
		if (took[i] < 0)
			return 1;
	}
	qsort(took, (size_t)runs, sizeof *took, by_value);
	printf("%.4f %ld %.4f %.4f\n", took[0], most_kb, cpu, took[runs / 2]);
	return 0;
}
